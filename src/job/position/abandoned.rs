//! Operations that were started and neither completed nor undone.
//!
//! A catalog does not say how to undo a half-finished operation. The steps are taken
//! from its way back: those that refit a fastener or plug in a cable that is out; and,
//! of the other steps, as many from the end as steps that move something were done on
//! the way out (a way back is written from the inside out).

use lidoff_catalog::format::{ConnectionId, Element, FasteningId, StepId};
use lidoff_catalog::model::{Catalog, Step, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::Op;

use super::error::PositionError;
use crate::fold::{Job, PartlyDone};
use crate::planned::PlannedStep;
use crate::refs::OpRef;
use crate::snapshot::{FirstSteps, StartedOperation};

/// What must be done before anything else because of an operation that was begun:
/// one that cannot or shall not be gone on with is turned back from; one that was
/// to be turned back from, and shall be gone on with after all, is gone on with.
///
/// # Errors
/// When the catalog does not have the operation.
pub(super) fn left_over(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    given_up: &[Op],
    first: &[FirstSteps],
) -> Result<Option<StartedOperation>, PositionError> {
    let begun = begun(job);
    let comes_first = |op: &OpRef| {
        let op = op.find(catalog);
        first.iter().any(|one| Some(one.op) == op)
    };
    let leads = |op: &OpRef| {
        let mut left = job.remaining.iter().filter_map(|step| step.op.as_ref());
        left.find(|led| !comes_first(led)) == Some(op)
    };
    for (reference, done) in &begun {
        let Some(back) = reference.way_back() else {
            continue;
        };
        let find = |op: &OpRef| {
            op.find(catalog)
                .ok_or_else(|| PositionError::NoSuchOp(op.clone()))
        };
        let op = find(reference)?;
        // A source that is isolated again is not turned back from.
        if comes_first(reference) {
            continue;
        }
        let turned = begun.iter().find(|(op, _)| *op == &back);
        let turned = turned.map_or(&[][..], |(_, steps)| steps.as_slice());
        let in_hand = if given_up.contains(&op) {
            let back = find(&back)?;
            let out = LeftUndone::after(catalog, done, turned);
            let steps = out.steps_that_redo(catalog, &back.steps(catalog, setup));
            StartedOperation {
                op: back,
                of: count(steps.len()),
                steps: (1..).zip(steps).collect(),
            }
        } else if turned.is_empty() && leads(&back) {
            let is_done = |step: StepIx| {
                let id = &catalog.step(step).entry.id;
                let partly = |one: &PartlyDone| !one.is_reversed && one.step.step == *id;
                done.iter().any(|done| done.step == *id) && !job.partly_done.iter().any(partly)
            };
            let all = op.steps(catalog, setup);
            let of = count(all.len());
            let steps = (1..).zip(all).filter(|(_, step)| !is_done(*step));
            let steps = steps.collect();
            StartedOperation { op, steps, of }
        } else {
            continue;
        };
        if !in_hand.steps.is_empty() {
            return Ok(Some(in_hand));
        }
    }
    Ok(None)
}

fn count(many: usize) -> u16 {
    u16::try_from(many).unwrap_or(u16::MAX)
}

/// Operations that were started and neither completed nor reversed, with the completed
/// steps of each.
fn begun(job: &Job) -> Vec<(&OpRef, Vec<&PlannedStep>)> {
    let mut begun: Vec<(&OpRef, Vec<&PlannedStep>)> = Vec::new();
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
    let partly = job.partly_done.iter().filter(|one| !one.is_reversed);
    for step in partly.map(|one| &one.step) {
        let Some(op) = &step.op else { continue };
        match begun.iter_mut().find(|(known, _)| *known == op) {
            Some((_, steps)) => steps.push(step),
            None => begun.push((op, vec![step])),
        }
    }
    begun
}

/// The ways out that were begun and not completed.
///
/// # Errors
/// When the catalog does not have one.
pub(super) fn ways_out(job: &Job, catalog: &Catalog) -> Result<Vec<Op>, PositionError> {
    let begun = begun(job).into_iter().map(|(op, _)| op);
    begun
        .filter(|op| op.way_back().is_some())
        .map(|op| {
            op.find(catalog)
                .ok_or_else(|| PositionError::NoSuchOp(op.clone()))
        })
        .collect()
}

/// What an unfinished operation has left undone, unplugged and moved.
struct LeftUndone<'a> {
    fastenings: Vec<&'a FasteningId>,
    connections: Vec<&'a ConnectionId>,
    /// How many steps moved something besides.
    moved: usize,
    /// Steps of the way back that are done.
    turned: Vec<&'a StepId>,
}

impl<'a> LeftUndone<'a> {
    fn after(catalog: &Catalog, done: &[&'a PlannedStep], turned: &[&'a PlannedStep]) -> Self {
        let mut out = Self {
            fastenings: Vec::new(),
            connections: Vec::new(),
            moved: 0,
            turned: turned.iter().map(|step| &step.step).collect(),
        };
        let moves = |step: &PlannedStep| {
            let found = catalog.find_step(step.step.as_str());
            found.is_some_and(|at| only_moves(catalog.step(at)))
        };
        for step in done {
            let undone = step.undo.iter().map(|set| &set.fastening);
            out.fastenings.extend(undone);
            let parted = step.unplug.iter().map(|cable| &cable.connection);
            out.connections.extend(parted);
            out.moved += usize::from(moves(step));
        }
        for step in turned {
            for set in &step.redo {
                out.fastenings.retain(|out| **out != set.fastening);
            }
            for cable in &step.plug {
                out.connections.retain(|out| **out != cable.connection);
            }
            out.moved = out.moved.saturating_sub(usize::from(moves(step)));
        }
        out
    }

    /// The steps of the way back that undo it, in order.
    fn steps_that_redo(&self, catalog: &Catalog, back: &[StepIx]) -> Vec<StepIx> {
        let mut moved = self.moved;
        let mut steps: Vec<StepIx> = back
            .iter()
            .rev()
            .filter(|at| {
                let step = catalog.step(**at);
                let fastens = |at: &_| self.fastenings.contains(&&catalog.fastening(*at).entry.id);
                let joins = |at: &_| self.connections.contains(&&catalog.connection(*at).id);
                if self.turned.contains(&&step.entry.id) {
                    false
                } else if moved > 0 && only_moves(step) {
                    moved -= 1;
                    true
                } else {
                    step.redo.iter().any(fastens) || step.plug.iter().any(joins)
                }
            })
            .copied()
            .collect();
        steps.reverse();
        steps
    }
}

/// Whether a step moves something, and neither a fastener nor a cable plug.
fn only_moves(step: &Step) -> bool {
    let looks = |element: Element| {
        matches!(
            element,
            Element::Look
                | Element::Measure
                | Element::Note
                | Element::PhoneCall
                | Element::Photo
                | Element::Protect
                | Element::ScanNumber
                | Element::SettingsPage
                | Element::StartUp
                | Element::Try
        )
    };
    let elements = &step.entry.elements;
    let only_looks = !elements.is_empty() && elements.iter().all(|one| looks(one.element));
    let fastens = !step.undo.is_empty() || !step.redo.is_empty();
    let joins = !step.unplug.is_empty() || !step.plug.is_empty();
    !only_looks && !fastens && !joins
}
