//! The state of the unit after the completed operations.

use lidoff_catalog::format::StepId;
use lidoff_catalog::model::{Catalog, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Op, PartState, Tenths, UnitState, Way};

use super::error::PositionError;
use super::isolation::was_made_safe;
use crate::fold::Job;
use crate::stamp::Stamp;

/// The unit after the completed operations, and the technician before it.
pub(super) fn state_now(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    now: &Stamp,
) -> Result<UnitState, PositionError> {
    let mut state = UnitState::closed(catalog);
    for (source, part) in catalog.sources() {
        if was_made_safe(job, catalog, setup, &part.id) {
            state.parts[source.index()] = PartState::Off;
        }
    }
    let lose = |state: &mut UnitState, done: usize| {
        let lost = job.isolation_lost.iter().filter(|(_, at)| *at == done);
        for source in lost.filter_map(|(id, _)| catalog.find_part(id.as_str())) {
            state.parts[source.index()] = PartState::Fitted;
        }
    };
    for (number, done) in job.done.iter().enumerate() {
        lose(&mut state, number);
        for op in &done.step.completes {
            let found = op.find(catalog);
            let op = found.ok_or_else(|| PositionError::NoSuchOp(op.clone()))?;
            apply(catalog, &mut state, op);
        }
        let step = catalog.step(find_step(catalog, &done.step.step)?);
        state.tool = step.tool.or(state.tool);
        state.face = step.face.or(state.face);
        if let Some(wait) = step.starts_wait {
            let long_ms = i64::from(catalog.wait(wait).seconds) * 1000;
            let left_ms = long_ms.saturating_sub(job.past_ms(done, now)).max(0);
            let left = Tenths::try_from((left_ms + 99) / 100).unwrap_or(Tenths::MAX);
            state.waits.retain(|(one, _)| *one != wait);
            if left > 0 {
                state.waits.push((wait, left));
            }
        }
    }
    lose(&mut state, job.done.len());
    Ok(state)
}

/// Applies an operation to the state of its part.
pub(super) fn apply(catalog: &Catalog, state: &mut UnitState, op: Op) {
    let (part, to) = match op {
        Op::Ease(part) => (part, PartState::Eased),
        Op::TakeOff(part, _) => (part, PartState::Off),
        Op::PutBack(part, Way::InPlace | Way::Other(_)) if catalog.part(part).ease.is_some() => {
            (part, PartState::Eased)
        }
        Op::PutBack(part, _) | Op::Settle(part) => (part, PartState::Fitted),
        Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) | Op::LeaveOut(_) => return,
    };
    state.parts[part.index()] = to;
}

pub(super) fn find_step(catalog: &Catalog, id: &StepId) -> Result<StepIx, PositionError> {
    let found = catalog.find_step(id.as_str());
    found.ok_or_else(|| PositionError::NoSuchStep(id.clone()))
}
