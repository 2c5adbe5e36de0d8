//! Which cases are looked at.

use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

use lidoff_testkit::deterministic_samples;
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;

use super::coverage::Coverage;

pub const SMALL: UnitFeatures = UnitFeatures::NO_WAITS.sized(3, 6);
pub const TANGLED: UnitFeatures = UnitFeatures {
    tangled: true,
    ..SMALL
};
pub const WITH_POWER: UnitFeatures = UnitFeatures::POWER.sized(3, 5);
pub const OUT_OF_USE: UnitFeatures = UnitFeatures::OUT_OF_USE.sized(3, 5);
/// Smaller, because the remaining time of each wait tells states apart, too.
pub const WITH_WAITS: UnitFeatures = UnitFeatures::ALL.sized(3, 5);

/// Checks `count` of these cases, the same ones in every run.
pub fn check_samples(
    cases: impl Strategy<Value = PlanningCase>,
    count: usize,
    check: impl Fn(&PlanningCase, &mut Coverage) -> TestCaseResult,
) -> Coverage {
    let mut coverage = Coverage::default();
    for case in deterministic_samples(cases, count) {
        match check(&case, &mut coverage) {
            // A case with too many states is left out; which ones these are is fixed.
            Ok(()) | Err(TestCaseError::Reject(_)) => {}
            Err(TestCaseError::Fail(reason)) => panic!("{reason}\n{case:?}"),
        }
    }
    coverage
}
