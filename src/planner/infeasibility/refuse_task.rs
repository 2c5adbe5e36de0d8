//! Tasks that cannot even be asked for.

use crate::outcome::Refusal;
use crate::problem::is_or_rides_on;
use crate::request::{Request, Task};
use lidoff_catalog::model::PartIx;

/// The reason why this task cannot be asked for, if there is one.
pub fn refuse_task(request: &Request, task: Task) -> Option<Refusal> {
    let catalog = request.catalog;
    let has = |part: PartIx| request.setup.has(catalog, part);
    let (is_fitted, is_offered) = match task {
        Task::Replace(part) => (has(part), catalog.part(part).swap.is_some()),
        Task::Reseat(part) => (has(part), catalog.part(part).reseat.is_some()),
        Task::Inspect(part) => (has(part), catalog.part(part).inspect.is_some()),
        Task::Serve(service) => (request.setup.holds(&catalog.service(service).when), true),
        Task::LeaveOut(part) => (has(part), !catalog.part(part).leave_out.is_empty()),
    };
    if !is_fitted {
        Some(Refusal::NotFitted(task))
    } else if !is_offered {
        Some(Refusal::NotOffered(task))
    } else {
        left_out(request, task)
    }
}

/// What is done to a part cannot be done where the part, or its carrier, is left out.
fn left_out(request: &Request, task: Task) -> Option<Refusal> {
    let (Task::Replace(part) | Task::Reseat(part) | Task::Inspect(part) | Task::LeaveOut(part)) =
        task
    else {
        return None;
    };
    let leaves_it = |other: &&Task| match other {
        Task::LeaveOut(left) => **other != task && is_or_rides_on(request.catalog, part, *left),
        _ => false,
    };
    let leaving = request.tasks.iter().find(leaves_it)?;
    Some(Refusal::Conflict {
        tasks: vec![*leaving, task],
        stays: vec![part],
    })
}
