//! The limit holds: on units far larger than any real catalog a plan comes back, legal and with
//! an honest bound, or a refusal that says why. `cargo bench --bench scale` measures the time,
//! on the same units.

use lidoff_planner::{Limits, Op, Plan, Proof, Refusal, Request, plan};
use lidoff_testkit::baseline::{at_least, at_most};
use lidoff_testkit::builder::TestUnit;
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::scale_unit;

/// A* and weighted A*, each within the limit.
const SEARCHES: usize = 2;

fn case(parts: usize, tasks: usize) -> PlanningCase {
    let unit = TestUnit::new(scale_unit::file(parts));
    PlanningCase::on(&unit, &scale_unit::tasks(&unit.catalog, tasks))
}

fn plan_within(case: &PlanningCase, limits: Limits) -> Result<Plan, Refusal> {
    let request = Request {
        limits,
        ..case.request()
    };
    plan(&request)
}

fn check_legal_and_honest(case: &PlanningCase, plan: &Plan, limits: Limits) {
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let simulated = case.simulate(&ops);
    let simulated = simulated.unwrap_or_else(|illegal| panic!("{illegal}"));
    assert_eq!(simulated.cost, plan.cost);
    if let Proof::AtLeast(bound) = plan.proof {
        assert!(bound <= plan.cost.total, "{bound} > {:?}", plan.cost);
    }
    assert!(plan.states <= SEARCHES * limits.states, "{}", plan.states);
}

/// What a plan came to when this was written down. A weaker heuristic finds plans on units of
/// this size, too, and shows only here.
struct Baseline {
    /// Tenths of a second.
    time: u32,
    bound: u32,
    states: usize,
}

impl Baseline {
    fn compare(&self, plan: &Plan) {
        let time = plan.cost.total;
        let bound = match plan.proof {
            Proof::Cheapest => time,
            Proof::AtLeast(bound) => bound,
        };
        if self.time == self.bound {
            assert_eq!((time, bound), (self.time, self.bound), "the proven optimum");
        }
        at_most("time of the plan", time.into(), self.time.into());
        at_least("bound of the plan", bound.into(), self.bound.into());
        at_most("expanded states", plan.states as u64, self.states as u64);
    }
}

#[test]
fn the_units_are_shaped_like_real_ones() {
    let unit = TestUnit::new(scale_unit::file(2000));
    let depths = scale_unit::depths(&unit.catalog);
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
    let deep = case(2000, 3);
    assert_eq!(deep.catalog.parts().len(), 2000);
    let plan =
        plan_within(&deep, Limits::INTERACTIVE).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    assert_eq!(plan.proof, Proof::Cheapest);
    check_legal_and_honest(&deep, &plan, Limits::INTERACTIVE);
    let baseline = Baseline {
        time: 26_370,
        bound: 26_370,
        states: 17,
    };
    baseline.compare(&plan);
}

#[test]
fn ten_tasks_on_two_thousand_parts_have_a_plan_within_the_limit_of_the_screens() {
    let many = case(2000, 10);
    let plan =
        plan_within(&many, Limits::INTERACTIVE).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    check_legal_and_honest(&many, &plan, Limits::INTERACTIVE);
    let baseline = Baseline {
        time: 87_290,
        bound: 82_050,
        states: 14_657,
    };
    baseline.compare(&plan);
}

#[test]
fn a_plan_that_met_the_limit_comes_with_a_useful_bound() {
    let many = case(500, 10);
    let limits = Limits { states: 200 };
    let plan = plan_within(&many, limits).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let Proof::AtLeast(bound) = plan.proof else {
        panic!("proven in {} states", plan.states);
    };
    assert!(bound > plan.cost.total / 2, "{bound} is hardly a bound");
    check_legal_and_honest(&many, &plan, limits);
    let baseline = Baseline {
        time: 87_842,
        bound: 86_124,
        states: 149,
    };
    baseline.compare(&plan);
}

#[test]
fn the_lowest_limit_still_gives_a_plan() {
    let many = case(200, 10);
    let limits = Limits { states: 5 };
    let plan = plan_within(&many, limits).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    check_legal_and_honest(&many, &plan, limits);
    let baseline = Baseline {
        time: 61_315,
        bound: 60_615,
        states: 6,
    };
    baseline.compare(&plan);
}

#[test]
fn more_than_64_tasks_are_refused() {
    let mut many = case(500, 70);
    assert_eq!(many.tasks.len(), 70);
    let refusal = plan_within(&many, Limits::INTERACTIVE).expect_err("seventy tasks");
    assert_eq!(refusal, Refusal::TooManyTasks { most: 64 });
    many.tasks.truncate(64);
    let few = Limits { states: 50 };
    match plan_within(&many, few) {
        Ok(plan) => check_legal_and_honest(&many, &plan, few),
        Err(refusal) => assert!(matches!(refusal, Refusal::Limit { .. }), "{refusal:?}"),
    }
}
