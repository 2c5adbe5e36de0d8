//! How long a slot to book for a job.
//!
//! The time on site is the job's time at the chosen certainty. Travel and paperwork are
//! allowances set by the person who books; they have no spread.

use super::band::{Pace, Sum};
use super::normal;

/// Default certainty of a booked slot.
pub const USUAL_CERTAINTY: f64 = 0.80;

/// Slots are booked in multiples of five minutes, s.
const GRAIN_S: f64 = 300.0;

/// Time allowed in addition to the work, s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Allowances {
    /// Travel.
    pub travel_s: f64,
    /// Paperwork afterwards.
    pub paperwork_s: f64,
}

/// A slot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slot {
    /// The work at the chosen certainty, s.
    pub work_s: f64,
    /// The booked time in multiples of five minutes, s.
    pub booked_s: f64,
}

/// The slot to book for this much work with this certainty (above 0, below 1).
pub fn slot(work: Sum, certainty: f64, allowances: Allowances) -> Slot {
    let work_s = work.at(Pace::UNKNOWN, normal::quantile(certainty));
    let all_s = work_s + allowances.travel_s + allowances.paperwork_s;
    Slot {
        work_s,
        booked_s: (all_s / GRAIN_S).ceil() * GRAIN_S,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const WORK: Sum = Sum {
        fixed_s: 60.0,
        mean_s: 1500.0,
        variance: 150.0 * 150.0,
    };

    #[test]
    fn a_more_certain_slot_is_longer() {
        let booked = |certainty| slot(WORK, certainty, Allowances::default());
        assert!(booked(0.5).work_s < booked(0.8).work_s);
        assert!(booked(0.8).work_s < booked(0.95).work_s);
    }

    #[test]
    fn travel_and_papers_are_added_and_the_whole_is_rounded_up_to_five_minutes() {
        let allowances = Allowances {
            travel_s: 1200.0,
            paperwork_s: 600.0,
        };
        let Slot { work_s, booked_s } = slot(WORK, USUAL_CERTAINTY, allowances);
        assert_eq!(booked_s % 300.0, 0.0);
        let over_s = booked_s - work_s - 1800.0;
        assert!((0.0..300.0).contains(&over_s), "{over_s}");
    }
}
