//! Outside check of the planner: the least times of some hundred random jobs, as
//! worked out by OR-Tools' CP-SAT solver (`tests/reference/`), which shares
//! nothing with the planner but the rules. `make reference-planner` writes them
//! again.

use lidoff_planner::{Op, Plan, Proof, Refusal, Tenths, plan};
use lidoff_testkit::cp_sat::{ReferenceAnswer, ReferenceKind, reference_cases};
use lidoff_testkit::planning_case::PlanningCase;

/// The plan for it, walked by the simulator, or nothing where there is no way.
fn planned(job: &PlanningCase, name: &str) -> Option<Plan> {
    let plan = match plan(&job.request()) {
        Ok(plan) => plan,
        Err(
            refusal @ (Refusal::NotFitted(_)
            | Refusal::NotOffered(_)
            | Refusal::TooManyTasks { .. }
            | Refusal::Limit { .. }),
        ) => panic!("{name}: refused, {refusal:?}{job:?}"),
        Err(_) => return None,
    };
    assert_eq!(plan.proof, Proof::Cheapest, "{name}: {job:?}");
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let walk = job.simulate(&ops);
    let walk = walk.unwrap_or_else(|illegal| panic!("{name}: {illegal}{job:?}"));
    assert_eq!(walk.cost, plan.cost, "{name}: {job:?}");
    Some(plan)
}

fn told(plan: Option<&Plan>) -> Option<(Tenths, u32)> {
    plan.map(|plan| (plan.cost.total, plan.cost.disturbed))
}

/// How many jobs there were, and how many states the planner looked at for all of
/// them.
struct Compared {
    random_cases: usize,
    states: usize,
}

/// Every difference at once, so that one run tells how many there are.
fn compare(
    kind: ReferenceKind,
    agrees: impl Fn(&ReferenceAnswer, Option<(Tenths, u32)>) -> bool,
) -> Compared {
    let random_cases: Vec<_> = reference_cases()
        .into_iter()
        .filter(|one| one.kind == kind)
        .collect();
    let mut differences = Vec::new();
    let mut states = 0;
    for one in &random_cases {
        let plan = planned(&one.job, &one.name);
        let said = told(plan.as_ref());
        states += plan.as_ref().map_or(0, |plan| plan.states);
        if !agrees(&one.answer, said) {
            differences.push(format!(
                "{}: planned {said:?}, the reference says {:?}\n{plan:?}{:?}",
                one.name, one.answer, one.job
            ));
        }
    }
    assert!(
        differences.is_empty(),
        "{} of {} differ\n{}",
        differences.len(),
        random_cases.len(),
        differences.join("\n")
    );
    Compared {
        random_cases: random_cases.len(),
        states,
    }
}

// Beside the least times: the states that are looked at for all of them, to the state. A
// bound that has become weaker finds the same plans, and shows only here. Where it has
// become better, the new number is written down.

#[test]
fn the_least_time_is_that_of_the_reference_where_each_leg_is_walked_once() {
    let compared = compare(ReferenceKind::Once, |answer, said| said == answer.best);
    assert!(
        compared.random_cases >= 150,
        "{} jobs",
        compared.random_cases
    );
    assert_eq!(compared.states, 1941, "states");
}

#[test]
fn the_least_time_is_that_of_the_reference_with_riders_and_what_must_stay() {
    let compared = compare(ReferenceKind::Everything, |answer, said| {
        said == answer.best
    });
    assert!(
        compared.random_cases >= 50,
        "{} jobs",
        compared.random_cases
    );
    assert_eq!(compared.states, 520, "states");
}

/// With waits the planner promises no more than to be as good as any plan that takes
/// each part out once: see [`Proof::Cheapest`]. No plan at all can be better than the
/// reference's best.
#[test]
fn the_least_time_is_that_of_the_reference_with_waits() {
    let compared = compare(ReferenceKind::Waits, |answer, said| {
        let (Some(best), Some(once), Some(said)) = (answer.best, answer.once, said) else {
            return false;
        };
        best.0 <= said.0 && said.0 <= once.0
    });
    assert!(
        compared.random_cases >= 25,
        "{} jobs",
        compared.random_cases
    );
    assert_eq!(compared.states, 529, "states");
}
