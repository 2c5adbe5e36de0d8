//! Learning from finished jobs: estimates are corrected on the log scale, as far as the
//! number of observations warrants.
//!
//! # A step
//!
//! A step that is estimated at m and was done n times has the log ratios
//! yⱼ = ln(actualⱼ) − ln m + s²/2, each with variance v = s² + J² about the step's
//! own mean δ: s is the step's spread, J the spread of whole jobs
//! ([`JOB_LOG_SD`]). Of all steps together δ is normal about 0, the handbook, with
//! variance τ². Then
//!
//! ```text
//! δ̂ = B ȳ     B = τ² / (τ² + v/n)     seen = m · e^δ̂
//! ```
//!
//! With few observations B is small and the handbook stands; with many it goes to
//! 1 and the step speaks for itself. This is the normal empirical Bayes estimate
//! (B. Efron, C. Morris, *J. Amer. Statist. Assoc.* 70 (1975) 311–319; C. N.
//! Morris, the same 78 (1983) 47–55). Observations that are far off are weighted
//! down as in [`robust`](super::robust). τ² comes from the steps themselves: it
//! is the value for which Σ ȳᵢ²/(τ² + vᵢ/nᵢ) equals the number of steps (R. C.
//! Paule, J. Mandel, *J. Res. Natl. Bur. Stand.* 87 (1982) 377–385, with the mean
//! known to be 0).
//!
//! # An element
//!
//! Each observation is a sum of effects, weighted by the share qₑ that an element
//! has of the step's estimate, and of the pace of its job:
//!
//! ```text
//! y = Σ qₑ δₑ + p(job) + noise     δₑ ~ N(0, τ²)   p ~ N(0, J²)   noise ~ N(0, s²)
//! ```
//!
//! To first order in δ. All effects are estimated together, as the mean of their
//! joint posterior (D. V. Lindley, A. F. M. Smith, *J. Roy. Statist. Soc.* B 34
//! (1972) 1–41), so a slow job is not held against its screws, nor a ribbon
//! against the screws beside it. The elements correct those steps that were never
//! seen themselves.

use lidoff_catalog::format::Element;

use super::band::JOB_LOG_SD;
use super::robust::{Observed, posterior, weight};

/// Standard deviation of the handbook's own error, on the log scale, until there are enough
/// steps to estimate it. Common practice, no source.
pub const BETWEEN_SD: f64 = 0.3;
/// Its limits, so that a few steps cannot make it extreme.
const BETWEEN_LIMITS: (f64, f64) = (0.05, 0.8);
/// Number of steps that are enough to estimate it.
const ENOUGH_STEPS: usize = 5;

/// Rounds of re-weighting in the joint estimate.
const ROUNDS: usize = 8;

/// What was learned about a step or an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Learned {
    /// Log of actual ÷ handbook time.
    pub log_ratio: f64,
    /// Its standard deviation.
    pub sd: f64,
    /// Number of observations.
    pub n: u32,
}

/// One step, done once.
#[derive(Clone, Debug, PartialEq)]
pub struct Row {
    /// The job, counted from 0.
    pub job: usize,
    /// The log ratio, with the variance that the step's own spread gives it.
    pub seen: Observed,
    /// The share of each of its elements in the estimate; empty if the author measured the
    /// step.
    pub shares: Vec<(Element, f64)>,
}

/// An observation relative to the step's own mean: the pace of the job is noise.
const fn with_pace(seen: Observed) -> Observed {
    Observed {
        log_ratio: seen.log_ratio,
        variance: seen.variance + JOB_LOG_SD * JOB_LOG_SD,
    }
}

/// What was learned about one step, given the handbook's own error.
pub fn step(between_sd: f64, seen: &[Observed]) -> Learned {
    let seen: Vec<Observed> = seen.iter().copied().map(with_pace).collect();
    let after = posterior(between_sd, &seen);
    Learned {
        log_ratio: after.mean,
        sd: after.sd,
        n: u32::try_from(seen.len()).unwrap_or(u32::MAX),
    }
}

/// Standard deviation of the handbook's own error, from all steps: each with all
/// that was seen of it.
pub fn between_sd<'a>(steps: impl IntoIterator<Item = &'a [Observed]>) -> f64 {
    // A prior so wide that it has no effect.
    const WIDE: f64 = 1e6;
    let means: Vec<(f64, f64)> = steps
        .into_iter()
        .filter(|seen| !seen.is_empty())
        .map(|seen| {
            let seen: Vec<Observed> = seen.iter().copied().map(with_pace).collect();
            let mean = posterior(WIDE, &seen);
            (mean.mean, mean.sd * mean.sd)
        })
        .collect();
    if means.len() < ENOUGH_STEPS {
        return BETWEEN_SD;
    }
    paule_mandel(&means).clamp(BETWEEN_LIMITS.0, BETWEEN_LIMITS.1)
}

/// The standard deviation τ for which Σ ȳ²/(τ² + v) is the number of means; 0 if they
/// scatter less than their own variances suggest.
fn paule_mandel(means: &[(f64, f64)]) -> f64 {
    let many = means.len() as f64;
    let scatter = |tau: f64| -> f64 {
        let of = |(mean, variance): &(f64, f64)| mean * mean / (tau * tau + variance);
        means.iter().map(of).sum()
    };
    // The function falls as τ grows, so bisection finds its root.
    let (mut low, mut high) = (0.0, 10.0);
    if scatter(low) <= many {
        return 0.0;
    }
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if scatter(middle) > many {
            low = middle;
        } else {
            high = middle;
        }
    }
    f64::midpoint(low, high)
}

/// What was learned about each observed element.
pub fn elements(between_sd: f64, rows: &[Row]) -> Vec<(Element, Learned)> {
    let mut seen: Vec<Element> = Vec::new();
    for (element, _) in rows.iter().flat_map(|row| &row.shares) {
        if !seen.contains(element) {
            seen.push(*element);
        }
    }
    let jobs = rows.iter().map(|row| row.job + 1).max().unwrap_or(0);
    let unknowns: Vec<Vec<(usize, f64)>> = rows
        .iter()
        .map(|row| {
            let place = |element: &Element| seen.iter().position(|one| one == element).unwrap_or(0);
            let shares = row.shares.iter().map(|(one, share)| (place(one), *share));
            let job = (seen.len() + row.job, 1.0);
            shares.chain(std::iter::once(job)).collect()
        })
        .collect();
    let (elements, pace) = (between_sd.powi(2).recip(), JOB_LOG_SD.powi(2).recip());
    let prior = |at: usize| if at < seen.len() { elements } else { pace };
    let mut effects = vec![0.0; seen.len() + jobs];
    let mut system = Normal::default();
    for round in 0..ROUNDS {
        system = Normal::new(effects.len(), prior);
        for (row, unknowns) in rows.iter().zip(&unknowns) {
            let fitted: f64 = unknowns
                .iter()
                .map(|(at, share)| share * effects[*at])
                .sum();
            let off = (row.seen.log_ratio - fitted) / row.seen.variance.sqrt();
            let weight = if round == 0 { 1.0 } else { weight(off) };
            system.add(unknowns, row.seen.log_ratio, weight / row.seen.variance);
        }
        system.factor();
        effects = system.solve(&system.right);
    }
    let learned = seen.iter().enumerate().map(|(at, element)| {
        let mut unit = vec![0.0; effects.len()];
        unit[at] = 1.0;
        let of_it = rows
            .iter()
            .filter(|row| row.shares.iter().any(|(one, _)| one == element));
        let learned = Learned {
            log_ratio: effects[at],
            sd: system.solve(&unit)[at].max(0.0).sqrt(),
            n: u32::try_from(of_it.count()).unwrap_or(u32::MAX),
        };
        (*element, learned)
    });
    learned.collect()
}

/// Normal equations with a prior on the diagonal: always positive definite.
#[derive(Default)]
struct Normal {
    /// Row by row; once factored, the lower triangle L of A = L Lᵀ.
    rows: Vec<Vec<f64>>,
    right: Vec<f64>,
}

impl Normal {
    fn new(many: usize, prior: impl Fn(usize) -> f64) -> Self {
        let row = |at: usize| {
            let mut row = vec![0.0; at + 1];
            row[at] = prior(at);
            row
        };
        Self {
            rows: (0..many).map(row).collect(),
            right: vec![0.0; many],
        }
    }

    /// One observation: what it is a sum of, its value, its precision.
    fn add(&mut self, unknowns: &[(usize, f64)], value: f64, precision: f64) {
        for (at, share) in unknowns {
            self.right[*at] += precision * share * value;
            for (other, of_other) in unknowns.iter().filter(|(other, _)| other <= at) {
                self.rows[*at][*other] += precision * share * of_other;
            }
        }
    }

    /// Cholesky's factor, in place.
    fn factor(&mut self) {
        for at in 0..self.rows.len() {
            for to in 0..=at {
                let (above, below) = self.rows.split_at(at);
                let row = &below[0];
                let other = if to == at { row } else { &above[to] };
                let inner: f64 = (0..to).map(|k| row[k] * other[k]).sum();
                let rest = row[to] - inner;
                self.rows[at][to] = if to == at {
                    rest.sqrt()
                } else {
                    rest / above[to][to]
                };
            }
        }
    }

    /// A⁻¹ right, once factored.
    fn solve(&self, right: &[f64]) -> Vec<f64> {
        let many = right.len();
        let mut x = right.to_vec();
        for at in 0..many {
            let inner: f64 = (0..at).map(|k| self.rows[at][k] * x[k]).sum();
            x[at] = (x[at] - inner) / self.rows[at][at];
        }
        for at in (0..many).rev() {
            let inner: f64 = (at + 1..many).map(|k| self.rows[k][at] * x[k]).sum();
            x[at] = (x[at] - inner) / self.rows[at][at];
        }
        x
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(log_ratio: f64) -> Observed {
        Observed {
            log_ratio,
            variance: 0.0775,
        }
    }

    #[test]
    fn a_step_is_shrunk_toward_the_handbook_by_how_often_it_was_seen() {
        // v = 0.0775 + 0.15² = 0.1 and τ² = 0.09: B = 0.09/(0.09 + 0.1/n).
        for (n, b) in [(1, 0.473_684_21), (4, 0.782_608_70), (100, 0.989_010_99)] {
            let learned = step(0.3, &vec![seen(0.2); n]);
            assert!((learned.log_ratio - 0.2 * b).abs() < 1e-8, "n = {n}");
        }
    }

    #[test]
    fn the_error_of_the_handbook_is_recovered() {
        // Forty steps of a true error of ±0.4, each seen fifty times.
        let steps: Vec<Vec<Observed>> = (0..40)
            .map(|nth| vec![seen(if nth % 2 == 0 { 0.4 } else { -0.4 }); 50])
            .collect();
        let found = between_sd(steps.iter().map(Vec::as_slice));
        assert!((found - 0.4).abs() < 0.005, "{found}");
        let few = between_sd(steps.iter().take(4).map(Vec::as_slice));
        assert_eq!(few, BETWEEN_SD);
        let same: Vec<Vec<Observed>> = vec![vec![seen(0.0); 3]; 9];
        let least = between_sd(same.iter().map(Vec::as_slice));
        assert_eq!(least, BETWEEN_LIMITS.0);
    }

    fn row(job: usize, log_ratio: f64, shares: &[(Element, f64)]) -> Row {
        Row {
            job,
            seen: Observed {
                log_ratio,
                variance: 0.04,
            },
            shares: shares.to_vec(),
        }
    }

    #[test]
    fn a_slow_element_is_separated_from_a_fast_one_in_the_same_step() {
        let (screw, ribbon) = (Element::ScrewOut, Element::RibbonOut);
        let mut rows = Vec::new();
        for job in 0..30 {
            rows.push(row(job, 0.0, &[(screw, 1.0)]));
            rows.push(row(job, 0.3, &[(screw, 0.5), (ribbon, 0.5)]));
        }
        let learned = elements(0.5, &rows);
        let of = |element| {
            let found = learned.iter().find(|(one, _)| *one == element);
            found.expect("it was seen").1
        };
        assert!(of(ribbon).log_ratio > 0.5, "{:?}", of(ribbon));
        assert!(of(screw).log_ratio.abs() < 0.06, "{:?}", of(screw));
        assert_eq!((of(ribbon).n, of(screw).n), (30, 60));
        assert!(of(screw).sd < of(ribbon).sd);
    }

    #[test]
    fn one_slow_job_does_not_make_its_screws_slow() {
        let slow: Vec<Row> = vec![row(0, 0.4, &[(Element::ScrewOut, 1.0)]); 40];
        let one_job = elements(0.3, &slow)[0].1;
        let many: Vec<Row> = (0..40)
            .map(|job| row(job, 0.4, &[(Element::ScrewOut, 1.0)]))
            .collect();
        let many_jobs = elements(0.3, &many)[0].1;
        assert!(many_jobs.log_ratio > 0.38, "{many_jobs:?}");
        assert!(
            one_job.log_ratio < 0.33 && one_job.sd > 3.0 * many_jobs.sd,
            "{one_job:?}"
        );
    }

    #[test]
    fn no_observations_teach_nothing() {
        assert!(elements(0.3, &[]).is_empty());
        let learned = step(0.3, &[]);
        assert_eq!((learned.log_ratio, learned.n), (0.0, 0));
    }
}
