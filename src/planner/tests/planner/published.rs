//! Outside check of *which* parts come off: the ten-part instance with
//! alternatives of S. M. McGovern and S. M. Gupta (2004), as printed in Ren,
//! Zhang, Zhao, Xiao and Tian, "An asynchronous parallel disassembly planning
//! based on genetic algorithm", *European Journal of Operational Research* 269
//! (2018) 647–660, Figs 1, 6 and 7 and Table 7.
//!
//! Removal times, precedence and the 173 s for everything with one worker are
//! printed there. The least times for single targets and pairs, and the number
//! of feasible orders, were worked out once by trying everything on those
//! figures; all cheapest sets are unique.

use std::collections::{BTreeMap, BTreeSet};

use lidoff_catalog::format::Swap;
use lidoff_planner::progress::block_on;
use lidoff_planner::{
    Alternative, Op, Phase, Plan, Prices, Proof, Request, Task, Tenths, UnitState, Way,
    find_alternative, plan,
};
use lidoff_testkit::builder::{FileNeeds, TestUnit, all, any, free, off, plain, step_with, unit};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::simulate::Simulation;

/// Removal times of parts 1 to 10, s.
const REMOVAL_S: [Tenths; 10] = [14, 10, 12, 18, 23, 16, 20, 36, 14, 10];

/// Part by part: 2 and 3 are free; 1, 8, 9 and 10 each need 2 or 3; 7 and 4 need
/// 8; 5 and 6 need 7.
fn ten_parts(two_or_three: FileNeeds) -> TestUnit {
    let mut file = unit("ten-parts");
    for nth in 1..=10 {
        let needs = match nth {
            2 | 3 => free(),
            1 | 8 | 9 | 10 => two_or_three.clone(),
            4 | 7 => off("part-8"),
            _ => off("part-7"),
        };
        let mut part = plain(&format!("part-{nth}"), needs);
        // Tools and faces alternate, so that any order has to change them: that must cost
        // nothing.
        if let Some(leg) = &mut part.take_off {
            let tool = ["driver", "lever", "pliers"][nth % 3];
            let face = ["front", "back", "side"][nth / 2 % 3];
            leg.out = vec![step_with(&format!("part-{nth}-off-out"), 2.0, tool, face)];
        }
        part.swap = Some(Swap::default());
        file.parts.push(part);
    }
    let on = TestUnit::new(file);
    // Only taking off is timed in the instance: putting back, tools and turns
    // cost nothing.
    let mut prices = Prices {
        steps: vec![0; on.catalog.steps().len()],
        tool_change: 0,
        face_change: 0,
    };
    for (nth, seconds) in (1..=10).zip(REMOVAL_S) {
        let out = on.catalog.find_step(&format!("part-{nth}-off-out"));
        prices.steps[out.expect("the step of a plain part").index()] = seconds * 10;
    }
    TestUnit { prices, ..on }
}

fn as_published() -> TestUnit {
    ten_parts(any([off("part-2"), off("part-3")]))
}

fn free_these(on: &TestUnit, targets: &[usize]) -> (Plan, BTreeSet<usize>) {
    let part = |nth: &usize| on.part(&format!("part-{nth}"));
    let tasks: Vec<Task> = targets.iter().map(part).map(Task::Replace).collect();
    let job = PlanningCase::on(on, &tasks);
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    assert_eq!(plan.proof, Proof::Cheapest);
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let walk = job.simulate(&ops);
    let walk = walk.unwrap_or_else(|illegal| panic!("{illegal}"));
    assert_eq!(walk.cost, plan.cost);
    let out = ops.iter().filter(|op| op.phase() == Phase::StripDown);
    let out = out.filter_map(|op| op.part());
    let out = out.map(|part| part.index() + 1).collect();
    (plan, out)
}

#[test]
fn everything_takes_173_seconds() {
    let targets: Vec<usize> = (1..=10).collect();
    let (plan, out) = free_these(&as_published(), &targets);
    assert_eq!(plan.cost.total, 1730);
    assert_eq!(out.len(), 10);
    assert!(plan.cost.tool_changes > 0 && plan.cost.face_changes > 0);
}

#[test]
fn each_target_is_freed_by_its_cheapest_route() {
    let on = as_published();
    for (targets, seconds, taken) in [
        (&[1][..], 24, &[1, 2][..]),
        (&[4], 64, &[2, 4, 8]),
        (&[5], 89, &[2, 5, 7, 8]),
        (&[6], 82, &[2, 6, 7, 8]),
        (&[7], 66, &[2, 7, 8]),
        (&[8], 46, &[2, 8]),
        (&[9], 24, &[2, 9]),
        (&[10], 20, &[2, 10]),
        (&[3, 10], 22, &[3, 10]),
    ] {
        let (plan, out) = free_these(&on, targets);
        assert_eq!(plan.cost.total, seconds * 10, "targets {targets:?}");
        assert_eq!(out, taken.iter().copied().collect(), "targets {targets:?}");
    }
}

#[test]
fn a_route_that_is_opened_anyway_leaves_the_other_in_place() {
    let (plan, out) = free_these(&as_published(), &[3, 4]);
    assert_eq!(plan.cost.total, 660);
    assert_eq!(out, BTreeSet::from([3, 4, 8]), "part 2 stays where it is");
}

/// A planner that reads "or" as "and" would fail the test above.
#[test]
fn a_unit_that_needs_both_routes_takes_longer() {
    let on = ten_parts(all([off("part-2"), off("part-3")]));
    assert_eq!(free_these(&on, &[5]).0.cost.total, 1010);
    assert_eq!(free_these(&on, &[4]).0.cost.total, 760);
}

#[test]
fn there_are_48_384_orders_of_taking_everything_off() {
    let on = as_published();
    let from = UnitState::closed(&on.catalog);
    let simulation = Simulation::new(&on.catalog, &on.setup, &[], &from, &on.prices);
    let simulation = simulation.unwrap_or_else(|illegal| panic!("{illegal}"));
    assert_eq!(orders(&on, &simulation, &mut BTreeMap::new()), 48_384);
}

/// The number of orders in which all parts that are still on can come off. It depends only on
/// the set of these parts, so each set is counted once.
fn orders(
    on: &TestUnit,
    here: &Simulation<'_>,
    known: &mut BTreeMap<Vec<lidoff_planner::PartState>, u64>,
) -> u64 {
    let state = here.current_state().state;
    if state.depth(&on.catalog, &on.setup) == on.catalog.parts().len() {
        return 1;
    }
    if let Some(count) = known.get(&state.parts) {
        return *count;
    }
    let mut count = 0;
    for (part, _) in on.catalog.parts() {
        let mut next = here.clone();
        if next.perform(Op::TakeOff(part, Way::InPlace)).is_ok() {
            count += orders(on, &next, known);
        }
    }
    known.insert(state.parts, count);
    count
}

#[test]
fn the_alternative_takes_two_seconds_more_and_the_only_route_has_none() {
    // Part 2 takes 10 s and part 3 takes 12 s. Either frees part 8, and nothing else does.
    let on = as_published();
    let (plan, _) = free_these(&on, &[5]);
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let tasks = [Task::Replace(on.part("part-5"))];
    let job = PlanningCase::on(&on, &tasks);
    let off = |part| Op::TakeOff(on.part(part), Way::InPlace);
    let without = |part| {
        let planner = async |request: &Request| lidoff_planner::plan(request);
        block_on(find_alternative(&job.request(), &ops, off(part), planner))
    };
    let other = Alternative::Longer {
        by: 20,
        proven: true,
        instead: vec![off("part-3")],
    };
    assert_eq!(without("part-2"), Some(other));
    assert_eq!(without("part-8"), Some(Alternative::NoWay));
    assert_eq!(without("part-3"), None, "it is not in this plan");
}
