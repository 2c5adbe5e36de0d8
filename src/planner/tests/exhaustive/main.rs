//! The bounds, and what the search leaves out, in every state that small random jobs
//! can come to, against the true cost to the end.
//!
//! That a plan is the cheapest rests on three promises: no bound is ever above the
//! truth, what is left out never makes the way dearer, and a state that another one
//! covers has no cheaper end. A plan that happens to be right does not show that they
//! are kept; here each is asked of each state. Beside it stands how much of the truth
//! is seen, to the unit: a bound that has become weaker finds the same plans.
//!
//! What is legal, and what it costs, is the planner's own word here: that is checked by
//! the simulator, elsewhere. A job with too many states is passed over.

mod graph;
mod jobs;
mod promises;

use proptest::prelude::*;

use lidoff_testkit::job::{Priced, jobs, jobs_under_way};

use jobs::{SMALL, TANGLED, WAITING, same_jobs};
use promises::{Sums, every_way_in, whole_job};

proptest! {
    #![proptest_config(lidoff_testkit::cases(64))]

    #[test]
    fn promises_are_kept(job in jobs(SMALL, 2, Priced::Anyhow)) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_where_changes_are_dear(job in jobs(SMALL, 2, Priced::DearChanges)) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_under_way(job in jobs_under_way(SMALL, 2, Priced::Anyhow)) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_where_there_may_be_no_way(job in jobs(TANGLED, 2, Priced::Anyhow)) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_under_way_where_there_may_be_no_way(
        job in jobs_under_way(TANGLED, 2, Priced::DearChanges)
    ) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_with_waits(job in jobs(WAITING, 2, Priced::Anyhow)) {
        whole_job(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_on_the_way_in(job in jobs(SMALL, 0, Priced::Anyhow)) {
        every_way_in(&job, &mut Sums::default())?;
    }

    #[test]
    fn promises_are_kept_on_the_way_in_with_waits(job in jobs(WAITING, 0, Priced::Anyhow)) {
        every_way_in(&job, &mut Sums::default())?;
    }
}

// Where a bound has become better, the new numbers are written down.

#[test]
fn as_much_of_the_truth_is_seen_as_ever() {
    let sums = same_jobs(jobs(SMALL, 2, Priced::Anyhow), 80, whole_job);
    assert_eq!(
        sums,
        Sums {
            states: 12_342,
            to_go: 104_822_168_991,
            alone: 93_578_302_850,
            closer: 94_380_193_154,
            through: 395_637_552_866,
            truly: 486_884_786_096,
            legal: 48_502,
            tried: 28_773,
            pairs: 123_210,
            covered: 53_048
        }
    );
}

#[test]
fn as_much_is_seen_where_changes_are_dear() {
    let sums = same_jobs(jobs(SMALL, 2, Priced::DearChanges), 80, whole_job);
    assert_eq!(
        sums,
        Sums {
            states: 12_342,
            to_go: 58_754_915_828,
            alone: 47_729_501_606,
            closer: 49_680_024_978,
            through: 212_288_194_517,
            truly: 279_430_975_547,
            legal: 48_502,
            tried: 28_773,
            pairs: 123_210,
            covered: 53_048
        }
    );
}

#[test]
fn as_much_is_seen_under_way_where_there_may_be_no_way() {
    let sums = same_jobs(jobs_under_way(TANGLED, 2, Priced::Anyhow), 80, whole_job);
    assert_eq!(
        sums,
        Sums {
            states: 13_369,
            to_go: 129_035_285_799,
            alone: 106_861_040_310,
            closer: 107_901_641_398,
            through: 442_361_575_151,
            truly: 578_233_287_960,
            legal: 50_988,
            tried: 34_720,
            pairs: 125_238,
            covered: 53_798
        }
    );
}

#[test]
fn as_much_is_seen_with_waits() {
    let sums = same_jobs(jobs(WAITING, 2, Priced::Anyhow), 40, whole_job);
    assert_eq!(
        sums,
        Sums {
            states: 3111,
            to_go: 18_109_650_424,
            alone: 16_288_351_474,
            closer: 16_326_739_181,
            through: 61_122_899_171,
            truly: 76_238_810_910,
            legal: 339,
            tried: 208,
            pairs: 129_936,
            covered: 51_965
        }
    );
}

#[test]
fn as_much_is_seen_on_the_way_in() {
    let sums = same_jobs(jobs(WAITING, 0, Priced::Anyhow), 30, every_way_in);
    assert_eq!(
        sums,
        Sums {
            states: 1666,
            to_go: 253_217,
            alone: 168_756,
            closer: 168_756,
            through: 0,
            truly: 442_854,
            legal: 2040,
            tried: 1827,
            pairs: 8112,
            covered: 6502
        }
    );
}
