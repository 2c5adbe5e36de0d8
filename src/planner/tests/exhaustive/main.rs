//! The heuristic, the pruning and the dominance rule, checked in every state that small
//! random cases can come to, against the true remaining cost.
//!
//! That a plan is the cheapest rests on three guarantees: no heuristic value is above the
//! true remaining cost, pruning never makes a path dearer, and a dominated state has no
//! cheaper end. A plan that happens to be right does not show that they hold. Here each is
//! checked in each state. Beside that stands how much of the truth is seen (`coverage.rs`).
//!
//! What is legal, and what it costs, is taken from the planner here; the simulator checks
//! that elsewhere.

mod coverage;
mod graph;
mod guarantees;
mod samples;

use proptest::prelude::*;

use lidoff_testkit::random_cases::{PriceModel, random_cases, random_cases_under_way};
use lidoff_testkit::strict_config;

use coverage::Coverage;
use guarantees::{check_case, check_every_way_in};
use samples::{OUT_OF_USE, SMALL, TANGLED, WITH_POWER, WITH_WAITS, check_samples};

proptest! {
    #![proptest_config(strict_config(192))]

    #[test]
    fn the_guarantees_hold(case in random_cases(SMALL, 2, PriceModel::Any)) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_where_changes_are_dear(
        case in random_cases(SMALL, 2, PriceModel::DearChanges)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_in_a_job_under_way(
        case in random_cases_under_way(SMALL, 2, PriceModel::Any)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_where_there_may_be_no_plan(
        case in random_cases(TANGLED, 2, PriceModel::Any)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_in_a_job_under_way_where_there_may_be_no_plan(
        case in random_cases_under_way(TANGLED, 2, PriceModel::DearChanges)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_with_energy_sources(
        case in random_cases_under_way(WITH_POWER, 2, PriceModel::Any)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_with_energy_sources_where_changes_are_dear(
        case in random_cases(WITH_POWER, 2, PriceModel::DearChanges)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_where_parts_are_left_out(
        case in random_cases_under_way(OUT_OF_USE, 3, PriceModel::Any)
    ) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_with_waits(case in random_cases(WITH_WAITS, 2, PriceModel::Any)) {
        check_case(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_on_the_way_in(case in random_cases(SMALL, 0, PriceModel::Any)) {
        check_every_way_in(&case, &mut Coverage::default())?;
    }

    #[test]
    fn the_guarantees_hold_on_the_way_in_with_waits(
        case in random_cases(WITH_WAITS, 0, PriceModel::Any)
    ) {
        check_every_way_in(&case, &mut Coverage::default())?;
    }
}

#[test]
fn the_heuristic_sees_as_much_of_the_truth_as_ever() {
    let coverage = check_samples(random_cases(SMALL, 2, PriceModel::Any), 80, check_case);
    coverage.compare_with(&Coverage {
        states: 12_342,
        remaining: 104_822_168_991,
        heuristic: 93_578_302_850,
        refined: 94_380_193_154,
        edge_bounds: 395_637_552_866,
        edge_costs: 486_884_786_096,
        legal_moves: 48_502,
        generated_moves: 28_773,
        pairs: 123_210,
        dominated_pairs: 53_048,
    });
}

#[test]
fn the_heuristic_sees_as_much_where_changes_are_dear() {
    let cases = random_cases(SMALL, 2, PriceModel::DearChanges);
    let coverage = check_samples(cases, 80, check_case);
    coverage.compare_with(&Coverage {
        states: 12_342,
        remaining: 58_754_915_828,
        heuristic: 47_729_501_606,
        refined: 49_680_024_978,
        edge_bounds: 212_288_194_517,
        edge_costs: 279_430_975_547,
        legal_moves: 48_502,
        generated_moves: 28_773,
        pairs: 123_210,
        dominated_pairs: 53_048,
    });
}

#[test]
fn the_heuristic_sees_as_much_in_a_job_under_way_where_there_may_be_no_plan() {
    let cases = random_cases_under_way(TANGLED, 2, PriceModel::Any);
    let coverage = check_samples(cases, 80, check_case);
    coverage.compare_with(&Coverage {
        states: 13_369,
        remaining: 129_035_285_799,
        heuristic: 106_861_040_310,
        refined: 107_901_641_398,
        edge_bounds: 442_361_575_151,
        edge_costs: 578_233_287_960,
        legal_moves: 50_988,
        generated_moves: 34_720,
        pairs: 125_238,
        dominated_pairs: 53_798,
    });
}

#[test]
fn the_heuristic_sees_as_much_with_waits() {
    let coverage = check_samples(random_cases(WITH_WAITS, 2, PriceModel::Any), 40, check_case);
    coverage.compare_with(&Coverage {
        states: 3111,
        remaining: 18_109_650_424,
        heuristic: 16_288_351_474,
        refined: 16_326_739_181,
        edge_bounds: 61_122_899_171,
        edge_costs: 76_238_810_910,
        legal_moves: 339,
        generated_moves: 208,
        pairs: 129_936,
        dominated_pairs: 51_965,
    });
}

#[test]
fn the_heuristic_sees_as_much_on_the_way_in() {
    let cases = random_cases(WITH_WAITS, 0, PriceModel::Any);
    let coverage = check_samples(cases, 30, check_every_way_in);
    coverage.compare_with(&Coverage {
        states: 1666,
        remaining: 253_217,
        heuristic: 168_756,
        refined: 168_756,
        edge_bounds: 0,
        edge_costs: 442_854,
        legal_moves: 2040,
        generated_moves: 1827,
        pairs: 8112,
        dominated_pairs: 6502,
    });
}
