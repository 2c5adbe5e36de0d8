//! Tasks that cannot even be asked for.

use crate::outcome::Refusal;
use crate::request::{Request, Task};
use lidoff_catalog::model::PartIx;

/// The reason why this task cannot be asked for, if there is one.
pub fn refuse_task(request: &Request, task: Task) -> Option<Refusal> {
    let catalog = request.catalog;
    let is_fitted = |part: PartIx| request.setup.holds(&catalog.part(part).when);
    let (is_fitted, is_offered) = match task {
        Task::Replace(part) => (is_fitted(part), catalog.part(part).swap.is_some()),
        Task::Reseat(part) => (is_fitted(part), catalog.part(part).reseat.is_some()),
        Task::Inspect(part) => (is_fitted(part), catalog.part(part).inspect.is_some()),
        Task::Serve(service) => (request.setup.holds(&catalog.service(service).when), true),
    };
    if !is_fitted {
        Some(Refusal::NotFitted(task))
    } else if !is_offered {
        Some(Refusal::NotOffered(task))
    } else {
        None
    }
}
