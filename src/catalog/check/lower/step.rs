//! Steps, and the waits that they begin and end.

use super::lowering::{Awaited, Lowering, index};
use crate::check::draft::{StepList, StepPlace};
use crate::check::entry_kind::EntryKind;
use crate::check::fault::FaultKind;
use crate::check::ids::{duplicate, plain_word};
use crate::check::path::Path;
use crate::check::spelling::{did_you_mean, nearest};
use crate::format;
use crate::model::{
    ConnectionIx, ConsumableIx, FasteningIx, HazardIx, QuestionIx, ResolvedCondition, Step, StepIx,
    ToolIx, Wait, WaitIx,
};
use lidoff_i18n::tr;
use lidoff_limits::CATALOG_STEPS;

impl<'f> Lowering<'f, '_> {
    /// A list of steps.
    pub(super) fn steps(
        &mut self,
        entry: &'f [format::Step],
        at: &Path,
        list: StepList,
        under: &[ResolvedCondition],
    ) -> Vec<StepIx> {
        let mut steps = Vec::new();
        for (nth, step) in entry.iter().enumerate() {
            let path = at.nth(nth).about(EntryKind::Step, step.id.as_str());
            steps.push(self.step(step, path, list, nth, under));
        }
        steps
    }

    fn step(
        &mut self,
        entry: &'f format::Step,
        path: Path,
        list: StepList,
        nth: usize,
        under: &[ResolvedCondition],
    ) -> StepIx {
        let number = self.steps.len();
        self.step_id(entry.id.as_str(), number, &path);
        let when = self.when(entry.when.as_ref(), &path, under, Some((list, nth)));
        let tool = entry.tool.as_ref().map(|tool| {
            let at = path.field("tool");
            ToolIx(self.names.tools.find(tool.as_str(), &at, self.report))
        });
        let face = entry.face.as_ref();
        let face = face.map(|face| self.face_ix(face, &path.field("face")));
        let uses = path.field("uses");
        let uses = entry.uses.iter().enumerate().map(|(nth, used)| {
            let at = uses.nth(nth).field("consumable");
            let table = &self.names.consumables;
            let consumable = table.find(used.consumable.as_str(), &at, self.report);
            (ConsumableIx(consumable), used.quantity)
        });
        let uses = uses.collect();
        let hazards = path.field("hazards");
        let hazards = entry.hazards.iter().enumerate().map(|(nth, hazard)| {
            let table = &self.names.hazards;
            HazardIx(table.find(hazard.as_str(), &hazards.nth(nth), self.report))
        });
        let hazards = hazards.collect();
        let asks = entry.asks.as_ref().map(|question| {
            let at = path.field("asks");
            QuestionIx(
                self.names
                    .questions
                    .find(question.as_str(), &at, self.report),
            )
        });
        let starts_wait = entry
            .starts_wait
            .as_ref()
            .map(|wait| self.wait(wait, &path));
        if let Some(wait) = &entry.after_wait {
            self.awaited.push(Awaited {
                step: number,
                id: wait.as_str(),
                at: path.field("after_wait"),
            });
        }
        let undo = self.fastening_ixs(&entry.undo, &path.field("undo"));
        let redo = self.fastening_ixs(&entry.redo, &path.field("redo"));
        let unplug = self.connection_ixs(&entry.unplug, &path.field("unplug"));
        let plug = self.connection_ixs(&entry.plug, &path.field("plug"));
        self.steps.push(Step {
            entry: entry.clone(),
            when,
            tool,
            face,
            undo,
            redo,
            unplug,
            plug,
            hazards,
            uses,
            asks,
            starts_wait,
            after_wait: None,
            learned: None,
        });
        self.step_places.push(StepPlace {
            path,
            list,
            nth,
            under: under.to_vec(),
        });
        StepIx(index(number))
    }

    fn step_id(&mut self, id: &'f str, number: usize, path: &Path) {
        let at = path.field("id");
        plain_word(EntryKind::Step, id, &at, self.report);
        if !self.step_ids.insert(id) {
            duplicate(EntryKind::Step, id, &at, self.report);
        }
        if number == CATALOG_STEPS {
            let entry = tr!("There are more than {} steps.", CATALOG_STEPS);
            let fix = tr!("Split the catalog.");
            self.report.add(FaultKind::TooMany, &at, entry, fix);
        }
    }

    fn fastening_ixs(&mut self, entry: &[format::FasteningId], at: &Path) -> Vec<FasteningIx> {
        let table = &self.names.fastenings;
        let entry = entry.iter().enumerate();
        entry
            .map(|(nth, id)| FasteningIx(table.find(id.as_str(), &at.nth(nth), self.report)))
            .collect()
    }

    fn connection_ixs(&mut self, entry: &[format::ConnectionId], at: &Path) -> Vec<ConnectionIx> {
        let table = &self.names.connections;
        let entry = entry.iter().enumerate();
        entry
            .map(|(nth, id)| ConnectionIx(table.find(id.as_str(), &at.nth(nth), self.report)))
            .collect()
    }

    /// The wait that a step starts. Several steps may start the same wait if any of them
    /// may be the one that is done; their text and seconds must agree.
    fn wait(&mut self, entry: &'f format::StartsWait, path: &Path) -> WaitIx {
        let at = path.field("starts_wait");
        plain_word(
            EntryKind::Wait,
            entry.id.as_str(),
            &at.field("id"),
            self.report,
        );
        let known = self.wait_ids.get(entry.id.as_str()).copied();
        let Some(known) = known else {
            let number = index(self.waits.len());
            self.waits.push(Wait {
                text: entry.text.clone(),
                seconds: entry.seconds,
            });
            self.wait_ids.insert(entry.id.as_str(), number);
            return WaitIx(number);
        };
        let first = &self.waits[usize::from(known)];
        if first.text != entry.text || first.seconds != entry.seconds {
            let what = tr!(
                "An earlier step starts the wait “{}” as “{}”, {} s.",
                entry.id,
                first.text,
                first.seconds
            );
            let fix = tr!("Use the same text and seconds, or give this wait its own id.");
            self.report.add(FaultKind::WaitSaidTwice, &at, what, fix);
        }
        WaitIx(known)
    }

    /// Resolves, once all steps are known, what steps wait for.
    pub(super) fn find_waits(&mut self) {
        for Awaited { step, id, at } in std::mem::take(&mut self.awaited) {
            if let Some(found) = self.wait_ids.get(id) {
                self.steps[step].after_wait = Some(WaitIx(*found));
                continue;
            }
            let fix = match nearest(id, self.wait_ids.keys().copied()) {
                Some(meant) => did_you_mean(meant),
                None => tr!("Add “starts_wait” with this id to an earlier step."),
            };
            let what = tr!("No step starts the wait “{}”.", id);
            self.report.add(FaultKind::WaitNeverStarted, &at, what, fix);
        }
    }
}
