//! Which sources are isolated, and which controls of hazards still hold.

use std::borrow::Cow;

use lidoff_catalog::format::{Hazard, HazardId, OnFailure, PartId, Scope};
use lidoff_i18n::{localize, tr};

use super::entries::ReadingTaken;
use super::job::Job;
use crate::event::Reason;
use crate::planned::{JobPhase, PlannedStep, PowerSource};
use crate::refs::OpRef;

impl Job {
    /// The present state of each energy source, in words ("Mains locked off"). While a source
    /// is being isolated or made live, nobody should rely on either.
    pub fn power_line(&self) -> impl Iterator<Item = Cow<'_, str>> {
        let changing = self.changing_source();
        self.sources.iter().map(move |source| match changing {
            Some((id, true)) if *id == source.id => Cow::Owned(tr!(
                "{source}: being isolated",
                source = localize(&source.name)
            )),
            Some((id, false)) if *id == source.id => Cow::Owned(tr!(
                "{source}: being made live",
                source = localize(&source.name)
            )),
            _ if self.isolated.contains(&source.id) || self.stays_isolated(source) => {
                localize(&source.isolated)
            }
            _ => localize(&source.live),
        })
    }

    /// Whether a source that nothing isolates any more still has no energy: it was isolated, and
    /// none of the sources that charge it has been live since.
    fn stays_isolated(&self, source: &PowerSource) -> bool {
        let ops = || self.done.iter().rev().flat_map(|done| &done.step.completes);
        let is_of = |op: &OpRef, id: &PartId| op.part() == Some(id);
        let isolates = |op: &&OpRef| matches!(op, OpRef::TakeOff { .. }) && is_of(op, &source.id);
        let feeds = |op: &OpRef| {
            matches!(op, OpRef::PutBack { .. })
                && source.fed_by.iter().any(|feeding| is_of(op, feeding))
        };
        let mut since = ops().take_while(|op| !isolates(op));
        !source.fed_by.is_empty()
            && source.fed_by.iter().all(|id| self.isolated.contains(id))
            && !self.has_lost_isolation(&source.id)
            && ops().any(|op| isolates(&op))
            && !since.any(feeds)
    }

    /// The source whose isolation (`true`) or release (`false`) has begun and is not complete.
    fn changing_source(&self) -> Option<(&PartId, bool)> {
        let op = self.done.last()?.step.op.as_ref()?;
        let goes_on = self.next()?.op.as_ref() == Some(op);
        let is_isolation = match op {
            OpRef::TakeOff { .. } => true,
            OpRef::PutBack { .. } => false,
            _ => return None,
        };
        let part = op.part().filter(|part| goes_on && self.is_source(part))?;
        Some((part, is_isolation))
    }

    /// How many fasteners are lost and may lie in the unit, where the next step makes a source
    /// live.
    pub fn lost_before_power(&self) -> u32 {
        let energises = self
            .next()
            .is_some_and(|step| step.phase == JobPhase::Energise);
        let lost = self.lost.iter().filter(|_| energises);
        lost.fold(0, |sum, one| sum.saturating_add(one.count.into()))
    }

    /// The reading that showed that a source is not isolated, while it still is not.
    pub fn lost_isolation(&self) -> Option<&ReadingTaken> {
        let mut lost = self.isolation_lost.iter();
        let is_lost = lost.any(|(source, _)| self.has_lost_isolation(source));
        let mut failed = self.readings.iter().rev().filter(|_| is_lost);
        failed.find(|one| one.passed == Some(false))
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
        let replaced = self.hazard(hazard).map(|known| known.replaces.clone());
        for other in replaced.unwrap_or_default() {
            self.standing.retain(|id| *id != other);
        }
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
        self.end_standing_of(|hazard| hazard.ended_by.contains(&step.step));
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
        // Everything that it feeds, directly or not, can be live again too.
        let mut lost = vec![source];
        let mut looked_at = 0;
        while let Some(feeding) = lost.get(looked_at).cloned() {
            looked_at += 1;
            let fed = self.sources.iter();
            let fed = fed.filter(|known| known.fed_by.contains(&feeding));
            for source in fed.map(|known| &known.id) {
                if !lost.contains(source) {
                    lost.push(source.clone());
                }
            }
        }
        for source in lost {
            self.make_live(&source);
            self.isolation_lost.push((source, self.done.len()));
        }
        self.replan_due = Some(Reason::IsolationFailed);
    }

    /// Whether this source turned out not to be isolated, and has neither been isolated again
    /// nor made live on purpose since.
    pub(crate) fn has_lost_isolation(&self, source: &PartId) -> bool {
        let mut lost = self.isolation_lost.iter().rev();
        let lost = lost.find(|(id, _)| id == source);
        let changes = |op: &OpRef| {
            matches!(op, OpRef::TakeOff { .. } | OpRef::PutBack { .. }) && op.part() == Some(source)
        };
        lost.is_some_and(|(_, at)| {
            let mut since = self.done.iter().skip(*at);
            !since.any(|done| done.step.completes.iter().any(changes))
        })
    }

    /// Nobody was at the unit for this long: controls are confirmed again, and isolations
    /// verified again.
    pub(super) fn note_interruption(&mut self, ms: i64) {
        // Also those confirmed at the step in hand: the strap was off meanwhile.
        let in_hand = self.next().map(|step| step.number);
        let hazards = &self.hazards;
        let lasts = |id: &HazardId| {
            let mut known = hazards.iter();
            known.any(|hazard| hazard.id == *id && hazard.lasts != Scope::Step)
        };
        self.heeded
            .retain(|(id, step)| Some(*step) != in_hand || !lasts(id));
        self.met
            .retain(|one| Some(one.step) != in_hand || !lasts(&one.hazard));
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
            // A plan that asks for it already may have had some of the readings.
            self.replan_due = Some(Reason::VerifyIsolation);
            if !self.verify_due.contains(&source) {
                self.verify_due.push(source);
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
        self.end_standing_of(|hazard| ends(&hazard.lasts));
    }

    fn end_standing_of(&mut self, ends: impl Fn(&Hazard) -> bool) {
        let hazards = &self.hazards;
        self.standing.retain(|id| {
            let known = hazards.iter().find(|hazard| hazard.id == *id);
            !known.is_some_and(&ends)
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
