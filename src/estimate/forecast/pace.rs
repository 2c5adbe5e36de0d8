//! The pace of a job, from the steps that are done.
//!
//! A step that is estimated at mean m with log standard deviation s takes
//! θ·X, X lognormal with mean m; so ln(actual) − ln m + s²/2 is an observation of
//! ln θ with variance s². The prior of ln θ is [`Pace::UNKNOWN`]; how the
//! observations are brought together, so that one wild step does no harm, is in
//! [`robust`](crate::robust).
//!
//! Steps are sometimes marked done together: two steps in a minute's work, then two
//! taps. If a step is marked done within [`AT_ONCE_S`] of another, and far too soon for
//! its estimate, it belongs with the step before it, and the two are one observation.

use crate::band::{JOB_LOG_SD, Pace, Sum, log_variance};
use crate::robust::{Observed, posterior};

/// Minimum time of a real step, s. Common practice, no source.
const AT_ONCE_S: f64 = 3.0;
/// A step also counts as too fast only below this share of its estimate. Common practice,
/// no source.
const FAR_TOO_SOON: f64 = 0.2;

/// A step that is done.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CompletedStep {
    /// The estimate of its work and changes; waits say nothing about the pace.
    pub expected: Sum,
    /// Its actual time without waiting, s.
    pub actual_s: f64,
}

impl CompletedStep {
    /// Whether it was marked done together with another.
    pub fn is_marked_with_another(&self) -> bool {
        self.actual_s < AT_ONCE_S && self.actual_s < FAR_TOO_SOON * self.expected.mean_s
    }

    /// What it says about the pace; `None` if nothing.
    pub fn observed(&self) -> Option<Observed> {
        let variance = log_variance(self.expected.cv());
        let log_ratio = (self.actual_s / self.expected.mean_s).ln() + variance / 2.0;
        (log_ratio.is_finite() && variance > 0.0).then_some(Observed {
            log_ratio,
            variance,
        })
    }
}

/// Merges steps that were marked done together.
pub(super) fn merge_marked_together(done: &[CompletedStep]) -> Vec<CompletedStep> {
    let mut all: Vec<CompletedStep> = Vec::new();
    for one in done {
        match all.last_mut() {
            Some(last) if one.is_marked_with_another() || last.is_marked_with_another() => {
                last.expected.mean_s += one.expected.mean_s;
                last.expected.variance += one.expected.variance;
                last.actual_s += one.actual_s;
            }
            _ => all.push(*one),
        }
    }
    all
}

/// The pace, and the number of observations it was learned from.
pub fn learn_pace(done: &[CompletedStep]) -> (Pace, usize) {
    let seen: Vec<Observed> = merge_marked_together(done)
        .iter()
        .filter_map(CompletedStep::observed)
        .collect();
    let after = posterior(JOB_LOG_SD, &seen);
    let pace = Pace {
        log_mean: after.mean,
        log_sd: after.sd,
    };
    (pace, seen.len())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Basis, Estimate};

    fn took(expected_s: f64, actual_s: f64) -> CompletedStep {
        let expected = Sum::from_estimates([Estimate {
            seconds: expected_s,
            cv: 0.3,
            basis: Basis::Elements,
        }]);
        CompletedStep { expected, actual_s }
    }

    #[test]
    fn steps_marked_done_together_are_one_observation() {
        let together = [took(30.0, 88.0), took(30.0, 0.7), took(30.0, 0.6)];
        let (pace, seen) = learn_pace(&together);
        assert_eq!(seen, 1);
        assert!((pace.median() - 1.0).abs() < 0.05, "{}", pace.median());
    }

    #[test]
    fn a_step_marked_done_too_soon_is_merged_with_the_next() {
        let (_, seen) = learn_pace(&[took(30.0, 0.5), took(30.0, 58.0), took(20.0, 21.0)]);
        assert_eq!(seen, 2);
    }

    #[test]
    fn a_step_without_an_estimate_or_without_a_time_teaches_nothing() {
        let nothing = [took(0.0, 12.0), took(30.0, 0.0)];
        assert_eq!(learn_pace(&nothing[..1]), (Pace::UNKNOWN, 0));
        assert_eq!(learn_pace(&nothing[1..]), (Pace::UNKNOWN, 0));
    }
}
