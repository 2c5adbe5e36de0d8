//! The current operation: started and not finished.

use lidoff_catalog::model::Catalog;
use lidoff_planner::Op;

use super::error::PositionError;
use super::unit_state::find_step;
use crate::fold::Job;
use crate::planned::JobPhase;
use crate::snapshot::StartedOperation;

/// The operation in progress: the remaining steps begin with its steps, and one of them is
/// done. An operation that was given up is not continued.
pub(super) fn find_started(
    job: &Job,
    catalog: &Catalog,
    given_up: &[Op],
) -> Result<Option<StartedOperation>, PositionError> {
    let mut left = job.remaining.iter().peekable();
    while left
        .next_if(|step| step.phase == JobPhase::MakeSafe)
        .is_some()
    {}
    let Some(first) = left.peek().copied() else {
        return Ok(None);
    };
    let Some(reference) = &first.op else {
        return Ok(None);
    };
    let one = first.number.saturating_sub(u32::from(first.nth)) + 1;
    let numbers = one..one.saturating_add(first.of.into());
    let begun = first.nth > 1
        || job
            .done
            .iter()
            .any(|done| numbers.contains(&done.step.number) && done.step.op == first.op);
    if !begun {
        return Ok(None);
    }
    let op = reference.find(catalog);
    let op = op.ok_or_else(|| PositionError::NoSuchOp(reference.clone()))?;
    if given_up.contains(&op) {
        return Ok(None);
    }
    let mut steps = Vec::new();
    for step in left {
        if step.op != first.op {
            break;
        }
        steps.push((step.nth, find_step(catalog, &step.step)?));
        if step.nth >= step.of {
            break;
        }
    }
    Ok(Some(StartedOperation {
        op,
        steps,
        of: first.of,
    }))
}
