//! There is a limit, and it holds: on units far larger than any that will be written
//! down a plan comes back, legal and with an honest bound, or a refusal that says why.
//! How long it takes is measured by `cargo bench --bench scale`, on the same units.

use lidoff_planner::{Limits, Op, Plan, Proof, Refusal, Request, Tenths, plan};
use lidoff_testkit::builder::TestUnit;
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::scale_unit;

/// Two searches, one for the proof and a hasty one, each within the limit.
const SEARCHES: usize = 2;

fn job(parts: usize, tasks: usize) -> PlanningCase {
    let on = TestUnit::new(scale_unit::file(parts));
    PlanningCase::on(&on, &scale_unit::tasks(&on.catalog, tasks))
}

fn within(job: &PlanningCase, limits: Limits) -> Result<Plan, Refusal> {
    let request = Request {
        limits,
        ..job.request()
    };
    plan(&request)
}

fn is_legal_and_honest(job: &PlanningCase, plan: &Plan, limits: Limits) {
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let walk = job.simulate(&ops);
    let walk = walk.unwrap_or_else(|illegal| panic!("{illegal}"));
    assert_eq!(walk.cost, plan.cost);
    if let Proof::AtLeast(bound) = plan.proof {
        assert!(bound <= plan.cost.total, "{bound} > {:?}", plan.cost);
    }
    assert!(plan.states <= SEARCHES * limits.states, "{}", plan.states);
}

/// What the plan takes, below what the bound says that there is none, and the states
/// that were looked at: to the tenth, for a bound that has become weaker on units of
/// this size finds plans, too. Where it has become better, the new numbers are written
/// down.
fn figures(plan: &Plan) -> (Tenths, Tenths, usize) {
    let total = plan.cost.total;
    let bound = match plan.proof {
        Proof::Cheapest => total,
        Proof::AtLeast(bound) => bound,
    };
    (total, bound, plan.states)
}

#[test]
fn the_units_are_shaped_like_real_ones() {
    let on = TestUnit::new(scale_unit::file(2000));
    let depths = scale_unit::depths(&on.catalog);
    let share = |depth: std::ops::RangeInclusive<usize>| {
        let there = depths.iter().filter(|one| depth.contains(one)).count();
        100 * there / depths.len()
    };
    assert_eq!(depths.iter().max(), Some(&12));
    assert!(share(2..=4) >= 60, "{} in 100", share(2..=4));
    assert!(share(5..=12) >= 5, "{} in 100", share(5..=12));
}

#[test]
fn a_unit_of_two_thousand_parts_has_its_plan_within_the_limit_of_the_screens() {
    let deep = job(2000, 3);
    assert_eq!(deep.catalog.parts().len(), 2000);
    let plan = within(&deep, Limits::INTERACTIVE).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    assert_eq!(plan.proof, Proof::Cheapest);
    is_legal_and_honest(&deep, &plan, Limits::INTERACTIVE);
    assert_eq!(figures(&plan), (26_370, 26_370, 17));
}

/// A hundredth of the limit of the screens, because this is built to be debugged; the
/// bench goes to the whole of it.
#[test]
fn ten_tasks_on_two_thousand_parts_have_a_plan_within_a_hundredth_of_that() {
    let many = job(2000, 10);
    let limits = Limits {
        states: Limits::INTERACTIVE.states / 100,
    };
    let plan = within(&many, limits).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    is_legal_and_honest(&many, &plan, limits);
    assert_eq!(figures(&plan), (87_290, 82_030, 239));
}

#[test]
fn a_limit_that_is_met_is_told_with_the_plan() {
    let many = job(500, 10);
    let limits = Limits { states: 200 };
    let plan = within(&many, limits).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let Proof::AtLeast(bound) = plan.proof else {
        panic!("proven in {} states", plan.states);
    };
    assert!(bound > plan.cost.total / 2, "{bound} is hardly a bound");
    is_legal_and_honest(&many, &plan, limits);
    assert_eq!(figures(&plan), (87_842, 86_124, 149));
}

#[test]
fn the_lowest_limit_still_leaves_a_plan() {
    let many = job(200, 10);
    let limits = Limits { states: 5 };
    let plan = within(&many, limits).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    is_legal_and_honest(&many, &plan, limits);
    assert_eq!(figures(&plan), (61_315, 60_615, 6));
}

#[test]
fn more_tasks_than_a_plan_can_hold_are_refused_by_number() {
    let mut many = job(500, 70);
    assert_eq!(many.tasks.len(), 70);
    let refusal = within(&many, Limits::INTERACTIVE).expect_err("seventy tasks");
    assert_eq!(refusal, Refusal::TooManyTasks { most: 64 });
    many.tasks.truncate(64);
    let few = Limits { states: 50 };
    match within(&many, few) {
        Ok(plan) => is_legal_and_honest(&many, &plan, few),
        Err(refusal) => assert!(matches!(refusal, Refusal::Limit { .. }), "{refusal:?}"),
    }
}
