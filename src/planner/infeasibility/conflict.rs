//! Tasks that can each be reached, but not all in one visit.

use crate::bit_set::BitSet;
use crate::outcome::Refusal;
use crate::problem::{Precondition, Problem};
use crate::request::{Request, Task};
use crate::search::{ProgressCallback, SearchResult, search};
use crate::unit_search::UnitSearchProblem;
use lidoff_catalog::model::PartIx;

/// States to expand for each smaller set of tasks. More would keep a technician waiting for
/// the reason; with fewer the named set may not be the smallest.
const MAX_STATES: usize = 4_000;

/// Finds a minimal set of tasks that exclude each other, and the parts that must remain in
/// place for one of them and that another one opens. If the search is stopped, the set may be
/// too small.
pub async fn find_conflict(request: &Request<'_>, callback: &mut ProgressCallback<'_>) -> Refusal {
    let mut tasks = request.tasks.to_vec();
    let mut index = 0;
    while index < tasks.len() {
        let mut fewer = tasks.clone();
        fewer.remove(index);
        if has_no_plan(request, &fewer, callback).await {
            tasks = fewer;
        } else {
            index += 1;
        }
    }
    let stays = contested_parts(&Request {
        tasks: &tasks,
        ..*request
    });
    Refusal::Conflict { tasks, stays }
}

async fn has_no_plan(
    request: &Request<'_>,
    tasks: &[Task],
    callback: &mut ProgressCallback<'_>,
) -> bool {
    let problem = Problem::new(Request { tasks, ..*request });
    let unit_search = UnitSearchProblem::new(&problem).without_pruning();
    let result = search(&unit_search, MAX_STATES, callback).await;
    matches!(result, SearchResult::NoPath)
}

/// The parts that one precondition wants in place and another one wants open.
fn contested_parts(request: &Request) -> Vec<PartIx> {
    let problem = Problem::new(*request);
    let mut opened = BitSet::empty(problem.numbering.len());
    let mut in_place = Vec::new();
    for action in &problem.actions {
        action.precondition.collect_opened(&mut opened);
        collect_in_place(&action.precondition, &mut in_place);
    }
    in_place.sort_unstable();
    in_place.dedup();
    in_place.retain(|part| opened.contains(*part));
    in_place
        .into_iter()
        .map(|part| problem.numbering.part(part))
        .collect()
}

fn collect_in_place(precondition: &Precondition, into: &mut Vec<usize>) {
    match precondition {
        Precondition::All(several)
        | Precondition::Any(several)
        | Precondition::OpenOrAway(several) => {
            several.iter().for_each(|one| collect_in_place(one, into));
        }
        Precondition::Fitted(part) | Precondition::FittedBeforeLive(part) => into.push(*part),
        Precondition::AtLeast(..) | Precondition::NotOff(_) | Precondition::TasksDone(_) => {}
    }
}
