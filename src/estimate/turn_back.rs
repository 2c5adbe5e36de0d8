//! The turn-back time: the last moment to stop and still close up, prove and
//! leave by the stated time.
//!
//! ```text
//! turn-back = leave by − P80(close up from here + prove + hand over)
//! ```
//!
//! at the pace that this job has shown. It holds for the state that the unit is
//! in: every part that comes off later brings it forward, and it is worked out
//! again after every step.

use super::band::{Band, Pace, Sum};
use super::normal;

/// Probability that a technician who turns back at the turn-back time leaves on time.
pub const CERTAINTY: f64 = 0.80;

/// Minimum warning time, ms. Common practice, no source.
const AT_LEAST_MS: i64 = 5 * 60_000;

/// The turn-back time for a leave-by time (wall clock, ms), the time to close up, and the
/// pace of the job.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TurnBack {
    /// When: wall clock, ms.
    pub at_ms: i64,
    /// When the technician must leave: wall clock, ms.
    pub leave_by_ms: i64,
    /// The time to close up from here, including prove and hand over.
    pub close_up: Band,
}

/// How close the turn-back time is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Nearness {
    /// There is time.
    Ample,
    /// It comes within minutes, or before the step in hand is done.
    Soon,
    /// It has passed.
    Passed,
}

impl TurnBack {
    /// The turn-back time for a leave-by time (wall clock, ms), what closing up
    /// takes, and the pace of the job.
    pub fn new(leave_by_ms: i64, close_up: Sum, pace: Pace) -> Self {
        let needs_s = close_up.at(pace, normal::quantile(CERTAINTY));
        Self {
            at_ms: leave_by_ms.saturating_sub((needs_s * 1000.0).ceil() as i64),
            leave_by_ms,
            close_up: close_up.band(pace),
        }
    }

    /// How close it is now (wall clock, ms), with this much of the current step left, s.
    pub fn nearness(&self, now_ms: i64, step_left_s: f64) -> Nearness {
        let left_ms = self.at_ms.saturating_sub(now_ms);
        if left_ms <= 0 {
            Nearness::Passed
        } else if left_ms <= AT_LEAST_MS.max((step_left_s * 1000.0) as i64) {
            Nearness::Soon
        } else {
            Nearness::Ample
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: i64 = 60_000;

    fn close_up(fixed_min: f64) -> Sum {
        Sum {
            fixed_s: fixed_min * 60.0,
            ..Sum::default()
        }
    }

    #[test]
    fn the_turn_back_time_is_the_p80_of_closing_up_before_leaving() {
        let noon = 720 * MINUTE;
        let sure = TurnBack::new(noon, close_up(20.0), Pace::UNKNOWN);
        assert_eq!(sure.at_ms, noon - 20 * MINUTE);
        let unsure = Sum {
            mean_s: 1200.0,
            variance: 200.0f64.powi(2),
            fixed_s: 0.0,
        };
        let turn_back = TurnBack::new(noon, unsure, Pace::UNKNOWN);
        let needs_s = (noon - turn_back.at_ms) as f64 / 1000.0;
        assert!((unsure.probability(Pace::UNKNOWN, needs_s) - 0.8).abs() < 1e-3);
    }

    #[test]
    fn a_slow_job_must_turn_back_sooner() {
        let work = Sum {
            mean_s: 600.0,
            variance: 3600.0,
            fixed_s: 0.0,
        };
        let slow = Pace {
            log_mean: 0.3,
            log_sd: 0.05,
        };
        let at = |pace| TurnBack::new(0, work, pace).at_ms;
        assert!(at(slow) < at(Pace::UNKNOWN));
    }

    #[test]
    fn the_turn_back_time_warns_before_a_long_step_runs_past_it() {
        let turn_back = TurnBack::new(60 * MINUTE, close_up(20.0), Pace::UNKNOWN);
        let near = |now_min, step_s| turn_back.nearness(now_min * MINUTE, step_s);
        assert_eq!(near(20, 60.0), Nearness::Ample);
        assert_eq!(near(20, 1300.0), Nearness::Soon);
        assert_eq!(near(36, 60.0), Nearness::Soon);
        assert_eq!(near(40, 60.0), Nearness::Passed);
    }
}
