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
//! This holds for steps whose errors are independent. Whole jobs also run fast or slow
//! for reasons that affect every step (light, space, practice). So the sum is
//! multiplied by one factor, the [`Pace`]: lognormal, with median 1, and log standard
//! deviation [`JOB_LOG_SD`] until something is known about it. A wait has no spread and
//! no pace: glue cures at the same rate for everybody.

use serde::{Deserialize, Serialize};

use super::Estimate;
use super::normal;

/// Log standard deviation of the factor that a whole job shares: about 15 % either way.
/// Common practice, no source.
pub const JOB_LOG_SD: f64 = 0.15;

/// The pace of a job and its uncertainty: log of actual ÷ estimated, normally distributed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pace {
    /// Mean of the log.
    pub log_mean: f64,
    /// Standard deviation of the log.
    pub log_sd: f64,
}

impl Pace {
    /// The pace of a job before anything is known about it.
    pub const UNKNOWN: Self = Self {
        log_mean: 0.0,
        log_sd: JOB_LOG_SD,
    };

    /// Its median, actual ÷ estimated.
    pub fn median(self) -> f64 {
        self.log_mean.exp()
    }
}

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

    /// The same at this pace, whose error is independent.
    #[must_use]
    pub fn at_pace(self, pace: Pace) -> Self {
        Self {
            mu: self.mu + pace.log_mean,
            sigma: self.sigma.hypot(pace.log_sd),
        }
    }
}

/// Log variance of a lognormal with this coefficient of variation: ln(1 + cv²).
pub fn log_variance(cv: f64) -> f64 {
    (cv * cv).ln_1p()
}

/// The sum of independent times: those without spread, and mean and variance of the
/// rest.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Sum {
    /// Times without spread (waits), s.
    pub fixed_s: f64,
    /// Mean of all others, s.
    pub mean_s: f64,
    /// Variance of all others, s².
    pub variance: f64,
}

impl Sum {
    /// The sum of these estimates.
    pub fn from_estimates(estimates: impl IntoIterator<Item = Estimate>) -> Self {
        let mut sum = Self::default();
        for estimate in estimates {
            sum.add(estimate);
        }
        sum
    }

    /// Adds one time.
    pub fn add(&mut self, one: Estimate) {
        if one.cv > 0.0 {
            self.mean_s += one.seconds;
            self.variance += one.variance();
        } else {
            self.fixed_s += one.seconds;
        }
    }

    /// Coefficient of variation of the uncertain times; zero if all are certain.
    pub fn cv(&self) -> f64 {
        if self.mean_s > 0.0 {
            self.variance.sqrt() / self.mean_s
        } else {
            0.0
        }
    }

    /// The distribution of the uncertain times at this pace; `None` if all are certain.
    fn spread(&self, pace: Pace) -> Option<Lognormal> {
        Lognormal::with_moments(self.mean_s, self.variance).map(|work| work.at_pace(pace))
    }

    /// The time that is met with the probability whose standard normal quantile
    /// is `z`, s.
    pub fn at(&self, pace: Pace, z: f64) -> f64 {
        self.fixed_s + self.spread(pace).map_or(0.0, |work| work.at(z))
    }

    /// The probability that it takes no longer than this, s.
    pub fn probability(&self, pace: Pace, seconds: f64) -> f64 {
        let rest = seconds - self.fixed_s;
        match self.spread(pace) {
            _ if rest < 0.0 => 0.0,
            None => 1.0,
            Some(work) => normal::probability((rest.ln() - work.mu) / work.sigma),
        }
    }

    /// The band at this pace.
    pub fn band(&self, pace: Pace) -> Band {
        let at = |certainty| self.at(pace, normal::quantile(certainty));
        Band {
            p50_s: at(0.50),
            p80_s: at(0.80),
            p95_s: at(0.95),
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
    /// The band of a sum of estimates at an unknown pace; all zero if there is nothing to
    /// do.
    pub fn from_estimates(estimates: impl IntoIterator<Item = Estimate>) -> Self {
        Sum::from_estimates(estimates).band(Pace::UNKNOWN)
    }

    /// The same, rounded to a tenth of a second.
    #[must_use]
    pub fn to_tenths(self) -> Self {
        let round = |seconds: f64| (seconds * 10.0).round() / 10.0;
        Self {
            p50_s: round(self.p50_s),
            p80_s: round(self.p80_s),
            p95_s: round(self.p95_s),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Basis;

    fn near(is: f64, should: f64, within: f64) {
        assert!((is - should).abs() <= within, "{is} is not {should}");
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
        near(repair.at(normal::quantile(0.90)), 8.06, 5e-3);
        near(repair.at(normal::quantile(0.95)), 12.08, 5e-3);
        let within_20_h = normal::probability((20f64.ln() - repair.mu) / repair.sigma);
        near(within_20_h, 0.982, 5e-4);
    }

    #[test]
    fn matching_moments_recovers_the_distribution() {
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
    fn many_short_steps_are_more_certain_than_one_long_step() {
        let step = |seconds| Estimate {
            seconds,
            cv: 0.6,
            basis: Basis::Elements,
        };
        let one = Band::from_estimates([step(100.0)]);
        let many = Band::from_estimates(vec![step(1.0); 100]);
        assert!(many.p95_s < one.p95_s);
        assert!(one.p50_s < one.p80_s && one.p80_s < one.p95_s);
    }

    #[test]
    fn a_wait_is_independent_of_pace_and_has_no_spread() {
        let wait = Estimate {
            seconds: 600.0,
            cv: 0.0,
            basis: Basis::Elements,
        };
        let slow = Pace {
            log_mean: 0.5,
            log_sd: 0.1,
        };
        let sum = Sum::from_estimates([wait]);
        let band = sum.band(slow);
        assert_eq!((band.p50_s, band.p95_s), (600.0, 600.0));
        assert_eq!(sum.probability(slow, 599.0), 0.0);
        assert_eq!(sum.probability(slow, 600.0), 1.0);
    }

    #[test]
    fn a_quantile_is_met_with_its_probability() {
        let step = Estimate {
            seconds: 100.0,
            cv: 0.5,
            basis: Basis::Elements,
        };
        let sum = Sum::from_estimates(vec![step; 9]);
        let pace = Pace {
            log_mean: 0.2,
            log_sd: 0.1,
        };
        let within = sum.at(pace, normal::quantile(0.8));
        near(sum.probability(pace, within), 0.8, 1e-9);
    }

    #[test]
    fn nothing_to_do_takes_no_time() {
        assert_eq!(Band::from_estimates([]), Band::default());
    }
}
