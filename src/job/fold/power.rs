//! Which sources are isolated, and which controls of hazards still hold.

use lidoff_catalog::format::{HazardId, OnFailure, PartId, Scope};

use super::job::Job;
use crate::event::Reason;
use crate::planned::{JobPhase, PlannedStep, PowerSource};
use crate::refs::OpRef;

impl Job {
    /// The present state of each energy source, in words ("Mains locked off").
    pub fn power_line(&self) -> impl Iterator<Item = &str> {
        self.sources.iter().map(|source| {
            if self.isolated.contains(&source.id) {
                source.isolated.as_str()
            } else {
                source.live.as_str()
            }
        })
    }

    /// Takes over the sources that a plan names.
    pub(super) fn add_sources(&mut self, sources: &[PowerSource]) {
        for source in sources {
            self.sources.retain(|known| known.id != source.id);
            self.sources.push(source.clone());
        }
    }

    /// The control of this hazard was confirmed.
    pub(super) fn keep_standing(&mut self, hazard: &HazardId) {
        let lasts = self.hazard(hazard).map(|known| &known.lasts);
        if lasts.is_some_and(|lasts| *lasts != Scope::Step) && !self.standing.contains(hazard) {
            self.standing.push(hazard.clone());
        }
    }

    /// What a step that was just done changes.
    pub(super) fn note_power(&mut self, step: &PlannedStep) {
        for op in &step.completes {
            match op {
                OpRef::TakeOff { part, .. } if self.is_source(part) => {
                    self.isolated.retain(|known| known != part);
                    self.isolated.push(part.clone());
                    self.end_standing(|lasts| matches!(lasts, Scope::WhileLive(of) if of == part));
                }
                OpRef::PutBack { part, .. } if self.is_source(part) => {
                    self.make_live(&part.clone());
                }
                OpRef::PutBack { part, .. } | OpRef::Settle(part) => {
                    let settles = OpRef::Settle(part.clone());
                    let mut left = self.remaining.iter().flat_map(|step| &step.completes);
                    if !left.any(|op| *op == settles) {
                        self.end_standing(
                            |lasts| matches!(lasts, Scope::WhileOpen(of) if of == part),
                        );
                    }
                }
                _ => {}
            }
        }
        self.end_standing(|lasts| matches!(lasts, Scope::Until(end) if *end == step.step));
        let verified = verifies(step);
        if let Some(source) = verified
            && !self.remaining.iter().any(|left| verifies(left) == verified)
        {
            self.verify_due.retain(|due| due != source);
        }
    }

    /// A reading of this step failed.
    pub(super) fn note_failure(&mut self, step: u32) {
        let found = self.remaining.iter().find(|left| left.number == step);
        let Some(OnFailure::Isolate(source)) = found.and_then(|step| step.on_failure.clone())
        else {
            return;
        };
        let fed = |known: &&PowerSource| known.fed_by.contains(&source);
        let fed: Vec<PartId> = self
            .sources
            .iter()
            .filter(fed)
            .map(|one| one.id.clone())
            .collect();
        for lost in std::iter::once(source).chain(fed) {
            self.make_live(&lost);
            self.isolation_lost.push((lost, self.done.len()));
        }
        self.replan_due = Some(Reason::IsolationFailed);
    }

    /// Nobody was at the unit for this long: controls are confirmed again, and isolations
    /// verified again.
    pub(super) fn note_interruption(&mut self, ms: i64) {
        self.standing.clear();
        let is_due = |source: &&PowerSource| {
            let limit = source
                .verify_after_minutes
                .map(|minutes| i64::from(minutes) * 60_000);
            self.isolated.contains(&source.id) && limit.is_some_and(|limit| ms >= limit)
        };
        let due: Vec<PartId> = self
            .sources
            .iter()
            .filter(is_due)
            .map(|one| one.id.clone())
            .collect();
        for source in due {
            if !self.verify_due.contains(&source) {
                self.verify_due.push(source);
                self.replan_due = Some(Reason::VerifyIsolation);
            }
        }
    }

    fn make_live(&mut self, source: &PartId) {
        self.isolated.retain(|known| known != source);
        self.verify_due.retain(|known| known != source);
        self.end_standing(|lasts| matches!(lasts, Scope::WhileIsolated(of) if of == source));
    }

    fn is_source(&self, part: &PartId) -> bool {
        self.sources.iter().any(|source| source.id == *part)
    }

    fn end_standing(&mut self, ends: impl Fn(&Scope) -> bool) {
        let hazards = &self.hazards;
        self.standing.retain(|id| {
            let known = hazards.iter().find(|hazard| hazard.id == *id);
            !known.is_some_and(|hazard| ends(&hazard.lasts))
        });
    }
}

/// The source whose isolation this step verifies again, outside of an operation.
fn verifies(step: &PlannedStep) -> Option<&PartId> {
    match (&step.on_failure, step.phase, &step.op) {
        (Some(OnFailure::Isolate(source)), JobPhase::Isolate, None) => Some(source),
        _ => None,
    }
}
