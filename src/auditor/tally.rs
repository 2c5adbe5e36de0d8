//! Fasteners and cables: what comes undone is done up.

use std::collections::BTreeMap;

use lidoff_catalog::format::{ConnectionId, FasteningId, Step};
use lidoff_i18n::tr;

use super::op::Op;
use super::rule::Rule;
use super::runs::{Report, Run, name_step};
use super::state::{Position, State};
use super::unit::{Thing, Unit};

/// A fastener or a cable, and whether it is out.
#[derive(Default)]
struct Ledger<'f> {
    /// `None`: nobody knows.
    fasteners: BTreeMap<&'f FasteningId, Option<bool>>,
    cables: BTreeMap<&'f ConnectionId, Option<bool>>,
}

pub(crate) fn check<'f>(unit: &Unit<'f>, runs: &[Run<'f>], report: &mut Report) {
    let mut ledger = Ledger::default();
    let state = State::at_start(unit);
    for (nr, thing) in unit.things.iter().enumerate() {
        if state.of(nr) == Some(Position::Fitted) {
            continue;
        }
        for (leg, _) in thing.legs.iter().enumerate() {
            for step in unit.steps_of(Op::Out { thing: nr, leg }) {
                ledger.forget(step);
            }
        }
    }
    for id in &unit.case.start.begun {
        if let Some((_, step)) = unit.step(id) {
            ledger.undo(step);
            ledger.redo(step, |_| ());
        }
    }
    for run in runs {
        for (nr, step) in (run.first..).zip(&run.steps) {
            ledger.undo(step);
            ledger.redo(step, |name| {
                report.add(Rule::NotPutBack, nr, || {
                    tr!(
                        "Step {step} refits “{name}”, which is not out.",
                        step = name_step(nr, step),
                        name = name
                    )
                });
            });
        }
    }
    let last = unit.case.steps.len().saturating_sub(1);
    let fasteners = ledger
        .fasteners
        .iter()
        .filter(|(_, out)| **out == Some(true));
    let cables = ledger.cables.iter().filter(|(_, out)| **out == Some(true));
    let here = fasteners.filter(|(id, _)| has_fastening(unit, id));
    let names = here.map(|(id, _)| id.as_str());
    let cables = cables.filter(|(id, _)| must_be_plugged_in(unit, id));
    for name in names.chain(cables.map(|(id, _)| id.as_str())) {
        report.add(Rule::NotPutBack, last, || {
            tr!(
                "The plan ends with “{name}” not refitted, so the unit is not complete.",
                name = name
            )
        });
    }
}

/// Whether this unit has the fastening, on a part that must be back.
fn has_fastening(unit: &Unit, id: &FasteningId) -> bool {
    let things = unit.things.iter().enumerate();
    let parts = things.filter_map(|(nr, thing)| Some((nr, thing.part?)));
    let mut all = parts.flat_map(|(nr, part)| part.fastenings.iter().map(move |one| (nr, one)));
    let found = all.find(|(_, one)| one.id == *id);
    found.is_some_and(|(nr, one)| !unit.stays_off(nr) && unit.holds(one.when.as_ref()))
}

/// Whether the cable is not one of a part or source that stays off.
fn must_be_plugged_in(unit: &Unit, id: &ConnectionId) -> bool {
    let has = |thing: &Thing| {
        let of_part = thing.part.into_iter().flat_map(|part| &part.connections);
        let of_source = thing
            .source
            .into_iter()
            .flat_map(|source| &source.connections);
        of_part.chain(of_source).any(|one| one.id == *id)
    };
    let owner = unit.things.iter().position(has);
    owner.is_none_or(|nr| !unit.stays_off(nr))
}

impl<'f> Ledger<'f> {
    fn undo(&mut self, step: &'f Step) {
        self.fasteners
            .extend(step.undo.iter().map(|id| (id, Some(true))));
        self.cables
            .extend(step.unplug.iter().map(|id| (id, Some(true))));
    }

    fn forget(&mut self, step: &'f Step) {
        self.fasteners.extend(step.undo.iter().map(|id| (id, None)));
        self.cables.extend(step.unplug.iter().map(|id| (id, None)));
    }

    fn redo(&mut self, step: &'f Step, mut over: impl FnMut(&str)) {
        for id in &step.redo {
            if !matches!(
                self.fasteners.insert(id, Some(false)),
                Some(Some(true) | None)
            ) {
                over(id.as_str());
            }
        }
        for id in &step.plug {
            if !matches!(self.cables.insert(id, Some(false)), Some(Some(true) | None)) {
                over(id.as_str());
            }
        }
    }
}
