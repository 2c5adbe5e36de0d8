//! Operations that were begun and neither completed nor turned back from.

use std::collections::BTreeSet;

use crate::catalog::format::{ConnectionId, FasteningId};
use crate::catalog::model::{Catalog, StepIx};
use crate::catalog::setup::Setup;
use crate::plan::Op;

use super::event::Reason;
use super::fold::Job;
use super::planned::PlannedStep;
use super::position::PositionError;
use super::said::SaidOp;
use super::snapshot::InHand;

/// What must be done before anything else because of an operation that was begun
/// and does not lead what is left: one that is blocked is turned back from; one
/// that was blocked and is open again is gone on with.
///
/// # Errors
/// When the catalog does not have the operation.
pub(super) fn left_over(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    blocked: &[Op],
) -> Result<Option<InHand>, PositionError> {
    let begun = begun(job);
    let is_open_again = job.replan_due == Some(Reason::RouteOpen);
    let leads = |op: &SaidOp| {
        let mut left = job.remaining.iter();
        left.find(|step| step.op.is_some())
            .is_some_and(|step| step.op.as_ref() == Some(op))
    };
    for (said, done) in &begun {
        let Some(back) = said.way_back() else {
            continue;
        };
        let find = |op: &SaidOp| {
            op.find(catalog)
                .ok_or_else(|| PositionError::NoSuchOp(op.clone()))
        };
        let op = find(said)?;
        let turned = begun.iter().find(|(op, _)| *op == &back);
        let turned = turned.map_or(&[][..], |(_, steps)| steps.as_slice());
        let (op, steps) = if blocked.contains(&op) {
            let back = find(&back)?;
            let out = Out::after(done, turned);
            let steps = back.steps(catalog, setup).into_iter();
            let steps: Vec<StepIx> = steps
                .filter(|step| out.is_mended_by(catalog, *step))
                .collect();
            (back, steps)
        } else if is_open_again && turned.is_empty() && !leads(said) {
            let is_done = |step: &StepIx| {
                let id = &catalog.step(*step).said.id;
                done.iter().any(|done| done.step == *id)
            };
            let mut steps = op.steps(catalog, setup);
            steps.retain(|step| !is_done(step));
            (op, steps)
        } else {
            continue;
        };
        if !steps.is_empty() {
            let of = u16::try_from(steps.len()).unwrap_or(u16::MAX);
            return Ok(Some(InHand {
                op,
                steps: (1..).zip(steps).collect(),
                of,
            }));
        }
    }
    Ok(None)
}

/// Operations that were begun and neither completed nor turned back from, with
/// the steps of each that are done.
fn begun(job: &Job) -> Vec<(&SaidOp, Vec<&PlannedStep>)> {
    let mut begun: Vec<(&SaidOp, Vec<&PlannedStep>)> = Vec::new();
    for step in job.done.iter().map(|done| &done.step) {
        if let Some(op) = &step.op {
            match begun.iter_mut().find(|(known, _)| *known == op) {
                Some((_, steps)) => steps.push(step),
                None => begun.push((op, vec![step])),
            }
        }
        begun.retain(|(op, _)| {
            let over = step.completes.contains(op);
            let turned = op
                .way_back()
                .is_some_and(|back| step.completes.contains(&back));
            !over && !turned
        });
    }
    begun
}

/// What an operation that was not finished has left undone and parted.
struct Out<'a> {
    fastenings: BTreeSet<&'a FasteningId>,
    connections: BTreeSet<&'a ConnectionId>,
}

impl<'a> Out<'a> {
    fn after(done: &[&'a PlannedStep], turned: &[&'a PlannedStep]) -> Self {
        let mut out = Self {
            fastenings: BTreeSet::new(),
            connections: BTreeSet::new(),
        };
        for step in done {
            let undone = step.undo.iter().map(|set| &set.fastening);
            out.fastenings.extend(undone);
            let parted = step.unplug.iter().map(|cable| &cable.connection);
            out.connections.extend(parted);
        }
        for step in turned {
            for set in &step.redo {
                out.fastenings.remove(&set.fastening);
            }
            for cable in &step.plug {
                out.connections.remove(&cable.connection);
            }
        }
        out
    }

    fn is_mended_by(&self, catalog: &Catalog, step: StepIx) -> bool {
        let step = catalog.step(step);
        let fastens = |at: &_| self.fastenings.contains(&catalog.fastening(*at).said.id);
        let joins = |at: &_| self.connections.contains(&catalog.connection(*at).id);
        step.redo.iter().any(fastens) || step.plug.iter().any(joins)
    }
}
