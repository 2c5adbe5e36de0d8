//! What a step that cannot be done says of the unit. Pure.

use crate::catalog::model::Catalog;
use crate::job::{
    BlockedBy, BlockedWay, BrokenPart, Job, NamedTask, PlannedStep, SaidOp, SaidTask,
};

/// The way out that this step is a piece of, as blocked; `None` where it is a
/// piece of none.
pub fn blocked(step: &PlannedStep) -> Option<BlockedWay> {
    let op = step.op.clone()?;
    if !matches!(op, SaidOp::Ease(_) | SaidOp::TakeOff { .. }) {
        return None;
    }
    let by = step.undo.first().map_or(BlockedBy::Other, |set| {
        BlockedBy::Fastener(set.fastening.clone())
    });
    Some(BlockedWay {
        op,
        name: step.about.clone().unwrap_or_default(),
        by,
        note: String::new(),
    })
}

/// The part that this step is about, as found broken.
pub fn broken(step: &PlannedStep) -> Option<BrokenPart> {
    Some(BrokenPart {
        part: step.op.as_ref()?.part()?.clone(),
        name: step.about.clone().unwrap_or_default(),
        step: Some(step.number),
        note: String::new(),
    })
}

/// Replacing the part, where the catalog says how and nobody asked for it yet.
pub fn is_replaceable(catalog: &Catalog, job: &Job, part: &BrokenPart) -> Option<NamedTask> {
    let task = SaidTask::Replace(part.part.clone());
    let known = catalog.part(catalog.find_part(part.part.as_str())?);
    known.swap.as_ref()?;
    let asked = job.open_tasks().any(|open| open.task == task);
    (!asked).then(|| NamedTask {
        task,
        name: known.name.clone(),
    })
}
