//! How long a whole job takes, as a band: P50, P80, P95.
//!
//! The sum of the steps is taken for lognormal, with the mean and the variance
//! that the steps add up to (L. F. Fenton, *IRE Trans. Commun. Syst.* 8 (1960)
//! 57–67, the Fenton–Wilkinson method; citation from memory):
//!
//! ```text
//! M = Σ mᵢ   V = Σ (cvᵢ mᵢ)²   σ² = ln(1 + V/M²)   μ = ln M − σ²/2
//! ```
//!
//! That holds for steps that err independently. Whole jobs also run fast or slow
//! for reasons that touch every step (light, room, practice), so one factor with
//! median 1 and log standard deviation [`JOB_LOG_SD`] is laid over the sum.

use serde::{Deserialize, Serialize};

use super::Estimate;

/// Standard normal quantile of 80 % (MIL-HDBK-338, Table 5.3.2.1-1).
pub const Z80: f64 = 0.8416;
/// Standard normal quantile of 95 % (MIL-HDBK-338, Table 5.3.2.1-1).
pub const Z95: f64 = 1.645;

/// Log standard deviation of what a whole job shares: about 15 % either way.
/// Common practice, no source.
pub const JOB_LOG_SD: f64 = 0.15;

/// A lognormal distribution of a time in seconds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lognormal {
    /// Mean of the logs.
    pub mu: f64,
    /// Standard deviation of the logs.
    pub sigma: f64,
}

impl Lognormal {
    /// The lognormal with this mean (s) and variance (s²); `None` for a mean that
    /// is not above zero.
    pub fn with_moments(mean: f64, variance: f64) -> Option<Self> {
        if !(mean > 0.0 && mean.is_finite()) {
            return None;
        }
        let log_variance = (1.0 + variance.max(0.0) / (mean * mean)).ln();
        Some(Self {
            mu: mean.ln() - log_variance / 2.0,
            sigma: log_variance.sqrt(),
        })
    }

    /// e^μ, s.
    pub fn median(self) -> f64 {
        self.mu.exp()
    }

    /// e^(μ + σ²/2), s.
    pub fn mean(self) -> f64 {
        (self.mu + self.sigma * self.sigma / 2.0).exp()
    }

    /// e^(μ + zσ), s, where z is the standard normal quantile.
    pub fn at(self, z: f64) -> f64 {
        (self.mu + z * self.sigma).exp()
    }

    /// The same with one more independent factor of median 1 laid over it.
    #[must_use]
    pub fn spread_by(self, log_sd: f64) -> Self {
        Self {
            mu: self.mu,
            sigma: self.sigma.hypot(log_sd),
        }
    }
}

/// A time with its uncertainty, s: it is met in 50, 80 and 95 cases of 100.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Band {
    /// Median, s.
    pub p50_s: f64,
    /// Met in four cases of five, s.
    pub p80_s: f64,
    /// Met in nineteen cases of twenty, s.
    pub p95_s: f64,
}

impl Band {
    /// The band of a sum of estimates; all zero where there is nothing to do.
    pub fn of_sum(estimates: impl IntoIterator<Item = Estimate>) -> Self {
        let mut mean = 0.0;
        let mut variance = 0.0;
        for estimate in estimates {
            mean += estimate.seconds;
            variance += estimate.variance();
        }
        Lognormal::with_moments(mean, variance)
            .map(|sum| Self::of(sum.spread_by(JOB_LOG_SD)))
            .unwrap_or_default()
    }

    /// The same to a tenth of a second.
    #[must_use]
    pub fn to_tenths(self) -> Self {
        let round = |seconds: f64| (seconds * 10.0).round() / 10.0;
        Self {
            p50_s: round(self.p50_s),
            p80_s: round(self.p80_s),
            p95_s: round(self.p95_s),
        }
    }

    /// The band of a distribution.
    pub fn of(time: Lognormal) -> Self {
        Self {
            p50_s: time.median(),
            p80_s: time.at(Z80),
            p95_s: time.at(Z95),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::time::Basis;

    fn near(is: f64, should: f64, within: f64) {
        assert!((is - should).abs() <= within, "{is} is not {should}");
    }

    /// Area under the standard normal curve up to `z`, by Simpson's rule.
    fn area_up_to(z: f64) -> f64 {
        let n = 2000;
        let h = z / f64::from(n);
        let f = |x: f64| (-x * x / 2.0).exp() / std::f64::consts::TAU.sqrt();
        let inner: f64 = (1..n)
            .map(|k| f(f64::from(k) * h) * if k % 2 == 1 { 4.0 } else { 2.0 })
            .sum();
        0.5 + (f(0.0) + inner + f(z)) * h / 3.0
    }

    #[test]
    fn the_quantiles_leave_what_their_names_say() {
        near(area_up_to(Z80), 0.80, 5e-5);
        near(area_up_to(Z95), 0.95, 5e-5);
    }

    #[test]
    fn the_handbook_s_46_repair_times_give_the_handbook_s_figures() {
        // MIL-HDBK-338B (1 October 1998), 5.6.2.1.1, ground electronic system:
        // mean and standard deviation of the logs as printed; the hours that
        // follow from them were computed separately.
        let hours = [
            0.2, 0.3, 0.5, 0.5, 0.5, 0.5, 0.6, 0.6, 0.7, 0.7, 0.7, 0.8, 0.8, 1.0, 1.0, 1.0, 1.0,
            1.1, 1.3, 1.5, 1.5, 1.5, 1.5, 2.0, 2.0, 2.2, 2.5, 2.7, 3.0, 3.0, 3.3, 3.3, 4.0, 4.0,
            4.5, 4.7, 5.0, 5.4, 5.5, 7.0, 7.5, 8.8, 9.0, 10.3, 22.0, 24.5,
        ];
        let n = hours.len() as f64;
        let mu = hours.iter().map(|h: &f64| h.ln()).sum::<f64>() / n;
        let squares: f64 = hours.iter().map(|h| (h.ln() - mu).powi(2)).sum();
        let repair = Lognormal {
            mu,
            sigma: (squares / (n - 1.0)).sqrt(),
        };
        near(repair.mu, 0.65879, 5e-6);
        near(repair.sigma, 1.11435, 5e-6);
        near(repair.mean(), 3.595, 5e-4);
        near(repair.median(), 1.932, 5e-4);
        near(repair.at(1.282), 8.06, 5e-3);
        near(repair.at(Z95), 12.08, 5e-3);
    }

    #[test]
    fn matching_moments_gives_back_the_distribution_they_came_from() {
        let given = Lognormal {
            mu: 0.65879,
            sigma: 1.11435,
        };
        let s2 = given.sigma * given.sigma;
        let variance = (s2.exp() - 1.0) * (2.0 * given.mu + s2).exp();
        let found = Lognormal::with_moments(given.mean(), variance).expect("a mean above zero");
        near(found.mu, given.mu, 1e-9);
        near(found.sigma, given.sigma, 1e-9);
    }

    #[test]
    fn many_small_steps_are_surer_than_one_long_one() {
        let step = |seconds| Estimate {
            seconds,
            cv: 0.6,
            basis: Basis::Elements,
        };
        let one = Band::of_sum([step(100.0)]);
        let many = Band::of_sum(vec![step(1.0); 100]);
        assert!(many.p95_s < one.p95_s);
        assert!(one.p50_s < one.p80_s && one.p80_s < one.p95_s);
    }

    #[test]
    fn nothing_to_do_takes_no_time() {
        assert_eq!(Band::of_sum([]), Band::default());
    }
}
