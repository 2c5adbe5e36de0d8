//! The planner against another solver: the optima of 420 random cases, proven by OR-Tools'
//! CP-SAT (`tests/reference/`), which shares nothing with the planner but the rules.

use lidoff_planner::{Op, Plan, Proof, Refusal, Tenths, plan};
use lidoff_testkit::baseline::at_most;
use lidoff_testkit::cp_sat::{ReferenceAnswer, ReferenceKind, reference_cases};
use lidoff_testkit::planning_case::PlanningCase;

/// The plan, checked by the simulator; `None` where there is none.
fn planned(case: &PlanningCase, name: &str) -> Option<Plan> {
    let plan = match plan(&case.request()) {
        Ok(plan) => plan,
        Err(
            refusal @ (Refusal::NotFitted(_)
            | Refusal::NotOffered(_)
            | Refusal::TooManyTasks { .. }
            | Refusal::Limit { .. }),
        ) => panic!("{name}: refused, {refusal:?}{case:?}"),
        Err(_) => return None,
    };
    assert_eq!(plan.proof, Proof::Cheapest, "{name}: {case:?}");
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let simulated = case.simulate(&ops);
    let simulated = simulated.unwrap_or_else(|illegal| panic!("{name}: {illegal}{case:?}"));
    assert_eq!(simulated.cost, plan.cost, "{name}: {case:?}");
    Some(plan)
}

fn optimum(plan: Option<&Plan>) -> Option<(Tenths, u32)> {
    plan.map(|plan| (plan.cost.total, plan.cost.disturbed))
}

struct Compared {
    cases: usize,
    states: u64,
}

/// Reports every difference at once.
fn compare(
    kind: ReferenceKind,
    agrees: impl Fn(&ReferenceAnswer, Option<(Tenths, u32)>) -> bool,
) -> Compared {
    let cases: Vec<_> = reference_cases()
        .into_iter()
        .filter(|one| one.kind == kind)
        .collect();
    let mut differences = Vec::new();
    let mut states = 0;
    for one in &cases {
        let plan = planned(&one.job, &one.name);
        let planned_optimum = optimum(plan.as_ref());
        states += plan.as_ref().map_or(0, |plan| plan.states as u64);
        if !agrees(&one.answer, planned_optimum) {
            differences.push(format!(
                "{}: planned {planned_optimum:?}, the reference says {:?}\n{plan:?}{:?}",
                one.name, one.answer, one.job
            ));
        }
    }
    assert!(
        differences.is_empty(),
        "{} of {} differ\n{}",
        differences.len(),
        cases.len(),
        differences.join("\n")
    );
    Compared {
        cases: cases.len(),
        states,
    }
}

// Optima must be equal. The states expanded for all cases have a baseline, because a weaker
// heuristic finds the same plans and shows only there.

#[test]
fn plans_are_as_fast_as_the_reference_where_each_leg_is_used_once() {
    let compared = compare(ReferenceKind::Once, |answer, planned_optimum| {
        planned_optimum == answer.best
    });
    assert!(compared.cases >= 150, "{} cases", compared.cases);
    at_most("expanded states", compared.states, 1941);
}

#[test]
fn plans_are_as_fast_as_the_reference_with_riders_and_parts_that_must_remain() {
    let compared = compare(ReferenceKind::Everything, |answer, planned_optimum| {
        planned_optimum == answer.best
    });
    assert!(compared.cases >= 50, "{} cases", compared.cases);
    at_most("expanded states", compared.states, 520);
}

/// With waits the planner promises no more than to be as good as any plan that takes each part
/// out once: see [`Proof::Cheapest`]. No plan can be better than the reference's best.
#[test]
fn plans_are_as_fast_as_the_reference_with_waits() {
    let compared = compare(ReferenceKind::Waits, |answer, planned_optimum| {
        let (Some(best), Some(once), Some(planned_optimum)) =
            (answer.best, answer.once, planned_optimum)
        else {
            return false;
        };
        best.0 <= planned_optimum.0 && planned_optimum.0 <= once.0
    });
    assert!(compared.cases >= 25, "{} cases", compared.cases);
    at_most("expanded states", compared.states, 529);
}

#[test]
fn plans_are_as_fast_as_the_reference_with_energy_sources_and_two_ways_off() {
    let compared = compare(ReferenceKind::Power, |answer, planned_optimum| {
        planned_optimum == answer.best
    });
    assert!(compared.cases >= 50, "{} cases", compared.cases);
    at_most("expanded states", compared.states, 556);
}

#[test]
fn plans_are_as_fast_as_the_reference_where_parts_are_left_out() {
    let compared = compare(ReferenceKind::LeftOut, |answer, planned_optimum| {
        planned_optimum == answer.best
    });
    assert!(compared.cases >= 50, "{} cases", compared.cases);
    at_most("expanded states", compared.states, 353);
}
