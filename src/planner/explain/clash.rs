//! Tasks of which each can be reached, and that cannot be done in one visit.

use crate::bits::Bits;
use crate::outcome::Refusal;
use crate::problem::{Holds, Problem};
use crate::search::{Ask, Found, search};
use crate::space::UnitSpace;
use crate::{Request, Task};
use lidoff_catalog::model::PartIx;

/// States to look at for each smaller set of tasks. More would keep a technician
/// waiting for a reason; the set that is named is then only not the smallest.
const STATES: usize = 4_000;

/// The tasks that clash, as few as can be, with the parts that must stay where
/// they are for one and that another opens. Where the search is stopped, there may
/// be fewer.
pub(crate) async fn clash(request: &Request<'_>, ask: &mut Ask<'_>) -> Refusal {
    let mut tasks = request.tasks.to_vec();
    let mut at = 0;
    while at < tasks.len() {
        let mut fewer = tasks.clone();
        fewer.remove(at);
        if has_no_plan(request, &fewer, ask).await {
            tasks = fewer;
        } else {
            at += 1;
        }
    }
    let stays = stays(&Request {
        tasks: &tasks,
        ..*request
    });
    Refusal::Conflict { tasks, stays }
}

async fn has_no_plan(request: &Request<'_>, tasks: &[Task], ask: &mut Ask<'_>) -> bool {
    let problem = Problem::new(Request { tasks, ..*request });
    let space = UnitSpace::new(&problem).thorough();
    matches!(search(&space, STATES, ask).await, Found::Nothing)
}

/// Parts that something on the way wants in place, and something else open.
fn stays(request: &Request) -> Vec<PartIx> {
    let problem = Problem::new(*request);
    let mut opened = Bits::none(problem.numbers.len());
    let mut kept = Vec::new();
    for action in &problem.actions {
        action.needs.mentions(&mut opened);
        in_place(&action.needs, &mut kept);
    }
    kept.sort_unstable();
    kept.dedup();
    kept.retain(|part| opened.contains(*part));
    kept.into_iter()
        .map(|part| problem.numbers.part(part))
        .collect()
}

/// The parts that a formula wants in place.
fn in_place(needs: &Holds, kept: &mut Vec<usize>) {
    match needs {
        Holds::All(some) | Holds::Any(some) | Holds::Away(some) => {
            some.iter().for_each(|one| in_place(one, kept));
        }
        Holds::InPlace(part) => kept.push(*part),
        Holds::Own(..) | Holds::On(_) | Holds::Done(_) => {}
    }
}
