//! Waits that run during a job. A wait of the catalog runs from the step that starts it
//! to the step that must wait for it. A hazard can demand a wait of so many minutes.
//!
//! Everything is computed from the stamps of the log, so a countdown continues
//! correctly after the app was closed. Pauses count: charge drains and glue sets
//! whether anybody works or not.
//!
//! The wait of a hazard runs from the step that begins a wait of the catalog for
//! the same hazard; else from the step that isolated what feeds the source in hand; else from the step that cut the supply, since the unit was last live
//! (it isolates a source, or it is a make-safe step with a hazard that demands isolation); else from
//! when the technician says that it begins.

use lidoff_catalog::format::{Demand, Hazard, HazardId, Text, WaitId};

use super::fold::{DoneStep, Job};
use super::planned::{JobPhase, PlannedStep};
use super::refs::OpRef;
use super::stamp::Stamp;

/// A catalog wait before the current step.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct WaitLeft {
    pub wait: WaitId,
    /// What is waited for.
    pub text: Text,
    /// Total length, ms.
    pub long_ms: i64,
    /// Remaining time, ms; 0 once it is over.
    pub left_ms: i64,
    /// Whether it is for safety and so cannot be ended early.
    pub guards: bool,
}

/// The wait that a hazard demands before a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HazardWait {
    /// The step itself begins it.
    BegunByStep,
    /// Nothing that was done began it, and the technician did not start it.
    NotBegun,
    /// It runs.
    Running {
        /// What is left of it, ms.
        left_ms: i64,
    },
    /// It is over.
    Over,
}

impl Job {
    /// The hazard with this id, if a plan of the job names it.
    pub fn hazard(&self, id: &HazardId) -> Option<&Hazard> {
        self.hazards.iter().find(|hazard| hazard.id == *id)
    }

    /// The wait before the current step, running or over; `None` if there is none, if the
    /// step that starts it was not done, or if it was ended early.
    pub fn wait_before(&self, now: &Stamp) -> Option<WaitLeft> {
        let step = self.next()?;
        let id = step.after_wait.as_ref()?;
        let cut = |one: &super::fold::CutShort| one.wait == *id && one.step == step.number;
        if self.cut_short.iter().any(cut) {
            return None;
        }
        let begins = |one: &&DoneStep| one.step.starts_wait.as_ref().is_some_and(|w| w.id == *id);
        let done = self.done.iter().rev().find(begins)?;
        let wait = done.step.starts_wait.as_ref()?;
        let long_ms = i64::from(wait.seconds) * 1000;
        let guards = step.phase == JobPhase::Isolate
            || self.demands_a_wait(step)
            || self.demands_a_wait(&done.step);
        Some(WaitLeft {
            wait: id.clone(),
            text: wait.text.clone(),
            long_ms,
            left_ms: long_ms
                .saturating_sub(self.since(done.lasted_ms, now))
                .max(0),
            guards,
        })
    }

    /// The state of the wait of this many minutes that a hazard demands before a step.
    pub fn hazard_wait(
        &self,
        hazard: &HazardId,
        step: &PlannedStep,
        minutes: u16,
        now: &Stamp,
    ) -> HazardWait {
        if step.starts_wait.is_some() {
            return HazardWait::BegunByStep;
        }
        let Some(from_ms) = self.wait_began(hazard, step) else {
            return HazardWait::NotBegun;
        };
        let long_ms = i64::from(minutes) * 60_000;
        match long_ms.saturating_sub(self.since(from_ms, now)) {
            left_ms if left_ms > 0 => HazardWait::Running { left_ms },
            _ => HazardWait::Over,
        }
    }

    /// When the wait for this hazard began, as time since the first event, ms.
    fn wait_began(&self, hazard: &HazardId, step: &PlannedStep) -> Option<i64> {
        let done = || self.done.iter().rev();
        let names =
            |one: &&DoneStep| one.step.starts_wait.is_some() && one.step.hazards.contains(hazard);
        let begun = done().find(names);
        let begun = begun
            .or_else(|| self.feed_cut(step))
            .or_else(|| self.supply_cut());
        let by_hand = self.waits_begun.iter().rev();
        let by_hand = by_hand.filter(|(of, _)| of == hazard).map(|(_, at)| *at);
        begun.map(|one| one.lasted_ms).max(by_hand.max())
    }

    /// The step that isolated the last of the sources that feed the source of this step.
    fn feed_cut(&self, step: &PlannedStep) -> Option<&DoneStep> {
        let of = step.op.as_ref()?.part()?;
        let source = self.sources.iter().find(|source| source.id == *of)?;
        let isolates =
            |op: &OpRef| matches!(op, OpRef::TakeOff { part, .. } if source.fed_by.contains(part));
        let mut done = self.done.iter().rev();
        done.find(|one| one.step.completes.iter().any(isolates))
    }

    /// The step that cut the supply, since the unit was last live.
    fn supply_cut(&self) -> Option<&DoneStep> {
        let live = |one: &DoneStep| matches!(one.step.phase, JobPhase::Energise | JobPhase::Prove);
        let since = self.done.iter().rposition(live).map_or(0, |at| at + 1);
        self.done[since..].iter().find(|one| {
            let isolates = |it: &Demand| matches!(it, Demand::Isolate(_));
            one.step.phase == JobPhase::Isolate
                || one.step.phase == JobPhase::MakeSafe && self.names(&one.step, isolates)
        })
    }

    fn demands_a_wait(&self, step: &PlannedStep) -> bool {
        self.names(step, |it| matches!(it, Demand::WaitMinutes(_)))
    }

    /// Whether a hazard of the step demands this.
    fn names(&self, step: &PlannedStep, demand: impl Fn(&Demand) -> bool + Copy) -> bool {
        let hazards = step.hazards.iter().filter_map(|id| self.hazard(id));
        hazards.flat_map(|hazard| &hazard.demands).any(demand)
    }

    /// Time since `then_ms` (measured from the first event), ms.
    fn since(&self, then_ms: i64, now: &Stamp) -> i64 {
        self.lasted_ms(now).saturating_sub(then_ms).max(0)
    }
}
