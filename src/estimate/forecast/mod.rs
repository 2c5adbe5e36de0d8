//! The forecast of the remaining time: the pace of a job, learned as it runs, applied
//! to the remaining work.
//!
//! The remaining time has two sources of uncertainty. They are kept apart because only
//! the first is learned: how fast *this job* goes ([`Pace`]), and how much each *single
//! step* deviates. The band covers both. The inputs are the steps done and the steps
//! left; this module reads no log and no clock.

mod pace;
mod remaining;

pub use pace::{CompletedStep, learn_pace};
pub use remaining::remaining;

use super::band::{Band, Pace, Sum};
use super::estimate::{Basis, Estimate};
use super::normal;

/// The remaining time of a job, with its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Forecast {
    /// The pace of the job.
    pub pace: Pace,
    /// Number of observations that the pace was learned from.
    pub learned_from: usize,
    /// The remaining time at a pace of 1.
    pub left: Sum,
}

/// The current step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StepInHand {
    /// Its work and its changes.
    pub work: Sum,
    /// Work on it so far, s.
    pub worked_s: f64,
}

impl Forecast {
    /// A forecast from the completed steps, the current step, and the steps after it.
    pub fn new(done: &[CompletedStep], in_hand: Option<StepInHand>, after: Sum) -> Self {
        let (pace, learned_from) = learn_pace(done);
        let mut left = after;
        if let Some(StepInHand { work, worked_s }) = in_hand {
            // Waiting comes first, and its length does not depend on the pace.
            left.fixed_s += (work.fixed_s - worked_s).max(0.0);
            let past = (worked_s - work.fixed_s).max(0.0) / pace.median();
            if work.mean_s > 0.0 {
                left.add(remaining(
                    Estimate {
                        seconds: work.mean_s,
                        cv: work.cv(),
                        basis: Basis::Elements,
                    },
                    past,
                ));
            }
        }
        Self {
            pace,
            learned_from,
            left,
        }
    }

    /// The remaining time that is met with this probability, s.
    pub fn at(&self, certainty: f64) -> f64 {
        self.left.at(self.pace, normal::quantile(certainty))
    }

    /// The remaining time as a band.
    pub fn band(&self) -> Band {
        self.left.band(self.pace)
    }

    /// The probability of being done within this time, s.
    pub fn probability(&self, seconds: f64) -> f64 {
        self.left.probability(self.pace, seconds)
    }

    /// Share of the uncertainty that comes from the pace of the whole job, 0 to 1; the rest
    /// comes from single steps. Zero if there is no uncertainty.
    pub fn doubt_about_pace(&self) -> f64 {
        let steps = super::band::log_variance(self.left.cv());
        let pace = self.pace.log_sd * self.pace.log_sd;
        if self.left.mean_s > 0.0 {
            pace / (pace + steps)
        } else {
            0.0
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(seconds: f64) -> Estimate {
        Estimate {
            seconds,
            cv: 0.4,
            basis: Basis::Elements,
        }
    }

    fn done(pace: f64, many: usize) -> Vec<CompletedStep> {
        let expected = Sum::from_estimates([step(30.0)]);
        let actual_s = 30.0 * pace / (1.0f64 + 0.16).sqrt();
        vec![CompletedStep { expected, actual_s }; many]
    }

    #[test]
    fn a_slow_job_is_forecast_slow_with_more_certainty_after_every_step() {
        let left = || Sum::from_estimates(vec![step(30.0); 20]);
        let start = Forecast::new(&[], None, left());
        let early = Forecast::new(&done(1.3, 3), None, left());
        let late = Forecast::new(&done(1.3, 30), None, left());
        assert!(start.pace.median() < early.pace.median());
        assert!(early.pace.median() < late.pace.median() && late.pace.median() < 1.3);
        let width = |it: &Forecast| it.at(0.8) / it.at(0.5);
        assert!(width(&late) < width(&early) && width(&early) < width(&start));
        assert!(late.doubt_about_pace() < start.doubt_about_pace());
    }

    #[test]
    fn one_outlier_in_ten_hardly_moves_the_finish() {
        let left = Sum::from_estimates(vec![step(30.0); 20]);
        let mut steps = done(1.0, 10);
        let calm = Forecast::new(&steps, None, left).at(0.8);
        steps[4].actual_s *= 20.0;
        let wild = Forecast::new(&steps, None, left).at(0.8);
        assert!(wild > calm && wild < 1.06 * calm, "{calm} → {wild}");
    }

    #[test]
    fn an_overrunning_step_is_not_taken_to_be_nearly_done() {
        let in_hand = |worked_s| {
            let work = Sum::from_estimates([step(30.0)]);
            Forecast::new(&[], Some(StepInHand { work, worked_s }), Sum::default()).at(0.5)
        };
        assert!(in_hand(15.0) < in_hand(0.0));
        assert!(in_hand(90.0) > 5.0, "{}", in_hand(90.0));
    }

    #[test]
    fn a_running_wait_counts_only_its_remaining_time() {
        let mut work = Sum::from_estimates([step(10.0)]);
        work.fixed_s = 120.0;
        let left = |worked_s| {
            let in_hand = StepInHand { work, worked_s };
            Forecast::new(&[], Some(in_hand), Sum::default()).left
        };
        assert_eq!(left(100.0).fixed_s, 20.0);
        assert_eq!(left(100.0).mean_s, left(0.0).mean_s);
        assert_eq!(left(125.0).fixed_s, 0.0);
        assert!(left(125.0).mean_s < left(0.0).mean_s);
    }

    #[test]
    fn a_job_with_nothing_left_is_done_now() {
        let done = Forecast::new(&[], None, Sum::default());
        assert_eq!((done.at(0.95), done.probability(0.0)), (0.0, 1.0));
        assert_eq!(done.doubt_about_pace(), 0.0);
    }
}
