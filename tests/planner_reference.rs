//! Outside check of the planner: the least times of some hundred random jobs, as
//! worked out by OR-Tools' CP-SAT solver (`tests/reference/`), which shares
//! nothing with the planner but the rules. `make reference-planner` writes them
//! again.

mod common;
#[path = "reference/fixture.rs"]
mod fixture;

use common::job::Job;
use fixture::{Answer, Kind, known};
use lidoff::plan::{Op, Plan, Proof, Refusal, Tenths, plan};

/// The plan for it, walked by the simulator, or nothing where there is no way.
fn planned(job: &Job, name: &str) -> Option<Plan> {
    let plan = match plan(&job.request()) {
        Ok(plan) => plan,
        Err(Refusal::Unreachable { .. } | Refusal::Conflict | Refusal::CannotClose(_)) => {
            return None;
        }
        Err(refusal) => panic!("{name}: refused, {refusal:?}{job:?}"),
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

/// Every difference at once, so that one run tells how many there are.
fn compare(kind: Kind, agrees: impl Fn(&Answer, Option<(Tenths, u32)>) -> bool) -> usize {
    let jobs: Vec<_> = known().into_iter().filter(|one| one.kind == kind).collect();
    let mut differences = Vec::new();
    for one in &jobs {
        let plan = planned(&one.job, &one.name);
        let said = told(plan.as_ref());
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
        jobs.len(),
        differences.join("\n")
    );
    jobs.len()
}

#[test]
fn the_least_time_is_that_of_the_reference_where_each_leg_is_walked_once() {
    let count = compare(Kind::Once, |answer, said| said == answer.best);
    assert!(count >= 150, "{count} jobs");
}

#[test]
fn the_least_time_is_that_of_the_reference_with_riders_and_what_must_stay() {
    let count = compare(Kind::Everything, |answer, said| said == answer.best);
    assert!(count >= 50, "{count} jobs");
}

/// With waits the planner promises no more than to be as good as any plan that takes
/// each part out once: see [`Proof::Cheapest`]. No plan at all can be better than the
/// reference's best.
#[test]
fn the_least_time_is_that_of_the_reference_with_waits() {
    let count = compare(Kind::Waits, |answer, said| {
        let (Some(best), Some(once), Some(said)) = (answer.best, answer.once, said) else {
            return false;
        };
        best.0 <= said.0 && said.0 <= once.0
    });
    assert!(count >= 25, "{count} jobs");
}
