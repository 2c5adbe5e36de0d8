//! The current operation: started and not finished.

use lidoff_catalog::model::Catalog;
use lidoff_planner::Op;

use super::error::PositionError;
use super::unit_state::find_step;
use crate::fold::{DoneStep, Job, PartlyDone};
use crate::planned::{JobPhase, PlannedStep};
use crate::refs::OpRef;
use crate::snapshot::{FirstSteps, StartedOperation};

/// The operation in progress: the remaining steps begin with its steps, and one of them is
/// done. An operation that was given up is not continued.
pub(super) fn find_started(
    job: &Job,
    catalog: &Catalog,
    given_up: &[Op],
    first: &[FirstSteps],
) -> Result<Option<StartedOperation>, PositionError> {
    // What comes before the current operation is planned again from its beginning.
    let isolates_again = |op: &OpRef| {
        let mut first = first.iter().filter(|one| one.isolates);
        op.find(catalog)
            .is_some_and(|op| first.any(|one| one.op == op))
    };
    let is_begun = |step: &PlannedStep| {
        let one = step.number.saturating_sub(u32::from(step.nth)) + 1;
        let numbers = one..one.saturating_add(step.of.into());
        let in_op =
            |done: &DoneStep| numbers.contains(&done.step.number) && done.step.op == step.op;
        let is_partly = |one: &PartlyDone| !one.is_reversed && one.step.step == step.step;
        step.nth > 1 || job.done.iter().any(in_op) || job.partly_done.iter().any(is_partly)
    };
    let mut skipped = None;
    let comes_first = |step: &&PlannedStep| match (step.phase, &step.op) {
        (JobPhase::MakeSafe, _) | (JobPhase::Isolate, None) => true,
        (JobPhase::Isolate, Some(op)) if isolates_again(op) || !is_begun(step) => {
            skipped = Some(op.clone());
            true
        }
        (JobPhase::Isolate, op) => *op == skipped,
        _ => false,
    };
    let mut left = job.remaining.iter().skip_while(comes_first).peekable();
    let Some(first) = left.peek().copied() else {
        return Ok(None);
    };
    let Some(reference) = &first.op else {
        return Ok(None);
    };
    if !is_begun(first) {
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
