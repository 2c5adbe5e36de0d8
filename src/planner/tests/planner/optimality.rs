//! No plan is cheaper: the planner against exhaustive search over the simulator, which shares
//! no code with it.

use lidoff_planner::{Limits, Proof, Refusal};
use lidoff_testkit::brute_force::{BruteForceResult, brute_force, brute_force_plan};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases_under_way};
use lidoff_testkit::strict_config;
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

use super::checks::{ops, plan_within, simulated};

/// Small enough for brute force.
const SMALL: UnitFeatures = UnitFeatures::ALL.sized(3, 5);
const SMALL_WITHOUT_WAITS: UnitFeatures = UnitFeatures {
    waits: false,
    ..SMALL
};
const WITH_POWER: UnitFeatures = UnitFeatures::POWER.sized(3, 4);
const OUT_OF_USE: UnitFeatures = UnitFeatures::OUT_OF_USE.sized(3, 4);
/// Larger cases are rejected.
const MAX_BRUTE_FORCE_STATES: usize = 6_000;

proptest! {
    #![proptest_config(strict_config(1024))]

    #[test]
    fn no_order_of_operations_is_cheaper_than_the_plan(
        job in random_cases_under_way(SMALL_WITHOUT_WAITS, 2, PriceModel::Any)
    ) {
        agrees_with_brute_force(&job)?;
    }

    #[test]
    fn no_order_is_cheaper_than_the_plan_where_changes_are_dear(
        job in random_cases_under_way(SMALL_WITHOUT_WAITS, 2, PriceModel::DearChanges)
    ) {
        agrees_with_brute_force(&job)?;
    }

    #[test]
    fn no_order_is_cheaper_than_the_plan_with_energy_sources(
        job in random_cases_under_way(WITH_POWER, 2, PriceModel::Any)
    ) {
        agrees_with_brute_force(&job)?;
    }

    #[test]
    fn no_order_is_cheaper_with_energy_sources_where_changes_are_dear(
        job in random_cases_under_way(WITH_POWER, 2, PriceModel::DearChanges)
    ) {
        agrees_with_brute_force(&job)?;
    }

    #[test]
    fn no_order_is_cheaper_where_parts_are_left_out(
        job in random_cases_under_way(OUT_OF_USE, 3, PriceModel::Any)
    ) {
        agrees_with_brute_force(&job)?;
    }

    /// With waits and priced changes, useless work can save a little: a part put back and
    /// taken out again during a wait leaves the unit the right way up. No plan does that, so
    /// changes are free here.
    #[test]
    fn no_order_is_cheaper_than_the_plan_with_waits(
        job in random_cases_under_way(SMALL, 2, PriceModel::FreeChanges)
    ) {
        agrees_with_brute_force(&job)?;
    }

    /// Where formulas may name any part there may be no plan, and the planner must say so
    /// exactly then.
    #[test]
    fn there_is_no_plan_exactly_where_brute_force_finds_none(
        job in random_cases_under_way(
            UnitFeatures { tangled: true, ..SMALL_WITHOUT_WAITS },
            2,
            PriceModel::Any,
        )
    ) {
        agrees_with_brute_force(&job)?;
    }
}

proptest! {
    #![proptest_config(strict_config(320))]

    #[test]
    fn a_plan_within_a_limit_has_a_bound_that_no_plan_beats(
        job in random_cases_under_way(SMALL_WITHOUT_WAITS, 2, PriceModel::Any),
        states in 1..200_usize,
    ) {
        let BruteForceResult::Cheapest { total, .. } = brute_force(&job, MAX_BRUTE_FORCE_STATES) else {
            return Err(TestCaseError::reject("too big to try everything"));
        };
        // A* and weighted A*.
        let most = 2 * states;
        match plan_within(&job, states) {
            Ok(plan) => {
                simulated(&job, &plan)?;
                prop_assert!(total <= plan.cost.total);
                prop_assert!(plan.states <= most, "{} states", plan.states);
                match plan.proof {
                    Proof::Cheapest => prop_assert_eq!(plan.cost.total, total),
                    Proof::AtLeast(bound) => prop_assert!(bound <= total),
                }
            }
            Err(Refusal::Limit { states: looked_at }) => {
                prop_assert!((states..=most).contains(&looked_at), "{looked_at} states");
            }
            Err(refusal) => prop_assert!(false, "refused: {:?}", refusal),
        }
    }
}

fn agrees_with_brute_force(job: &PlanningCase) -> TestCaseResult {
    let (found, way) = brute_force_plan(job, MAX_BRUTE_FORCE_STATES);
    match plan_within(job, Limits::default().states) {
        Ok(plan) => {
            simulated(job, &plan)?;
            if found == BruteForceResult::TooManyStates {
                return Err(TestCaseError::reject("too big to try everything"));
            }
            prop_assert_eq!(plan.proof, Proof::Cheapest);
            let total = plan.cost.total;
            let disturbed = plan.cost.disturbed;
            let planned = ops(&plan);
            prop_assert_eq!(
                found,
                BruteForceResult::Cheapest { total, disturbed },
                "planned {:?}\nfound {:?}",
                planned,
                way
            );
        }
        Err(Refusal::Limit { states }) => {
            prop_assert_eq!(
                found,
                BruteForceResult::TooManyStates,
                "limit met after {} states",
                states
            );
        }
        Err(refusal) => {
            if found == BruteForceResult::TooManyStates {
                return Err(TestCaseError::reject("too big to try everything"));
            }
            prop_assert_eq!(
                found,
                BruteForceResult::NoPlan,
                "{:?}\nfound {:?}",
                refusal,
                way
            );
        }
    }
    Ok(())
}
