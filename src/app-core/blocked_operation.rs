//! Which operation is blocked when a step cannot be done. Pure.

use lidoff_catalog::model::Catalog;
use lidoff_job::{BlockedOperation, Job, NamedTask, OpRef, PlannedStep, TaskRef};

/// The operation of this step as a blocked operation; `None` if the step does not open or
/// remove a part.
pub fn blocked_operation(step: &PlannedStep) -> Option<BlockedOperation> {
    let op = step.op.clone()?;
    matches!(op, OpRef::Ease(_) | OpRef::TakeOff { .. }).then(|| BlockedOperation {
        op,
        name: step.about.clone().unwrap_or_default(),
        fastening: step.undo.first().map(|set| set.fastening.clone()),
    })
}

/// Replacing the part that this step is about.
pub fn replacement_task(step: &PlannedStep) -> Option<NamedTask> {
    let part = step.op.as_ref()?.part()?.clone();
    Some(NamedTask {
        task: TaskRef::Replace(part),
        name: step.about.clone().unwrap_or_default(),
    })
}

/// Whether the catalog has this replacement and the job does not have it yet.
pub fn can_add_task(catalog: &Catalog, job: &Job, task: &NamedTask) -> bool {
    let TaskRef::Replace(part) = &task.task else {
        return false;
    };
    let known = catalog.find_part(part.as_str());
    known.is_some_and(|at| catalog.part(at).swap.is_some())
        && job.open_tasks().all(|open| open.task != task.task)
}
