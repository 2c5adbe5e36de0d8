//! Waits that run during a job. A wait of the catalog runs from the step that starts it
//! to the step that must wait for it. A hazard can demand a wait of so many minutes.
//!
//! Everything is computed from the stamps of the log. Pauses count: charge drains and glue
//! sets whether anybody works or not. A wait that is not for safety also runs while the app
//! is closed. Of a wait for safety only [measured](super::measured) time counts.
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
    /// Time that may have passed and does not count, ms.
    pub unmeasured_ms: i64,
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
        /// Time that may have passed and does not count, ms.
        unmeasured_ms: i64,
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
        let guards = self.is_for_safety(&done.step, id);
        let (past_ms, unmeasured_ms) = self.past(done, guards, now);
        Some(WaitLeft {
            wait: id.clone(),
            text: wait.text.clone(),
            long_ms,
            left_ms: long_ms.saturating_sub(past_ms).max(0),
            unmeasured_ms,
            guards,
        })
    }

    /// How much of the wait that this step started has passed, ms.
    pub(super) fn past_ms(&self, done: &DoneStep, now: &Stamp) -> i64 {
        let wait = done.step.starts_wait.as_ref();
        let guards = wait.is_some_and(|wait| self.is_for_safety(&done.step, &wait.id));
        self.past(done, guards, now).0
    }

    /// Whether a wait that this step starts is for safety.
    fn is_for_safety(&self, starter: &PlannedStep, wait: &WaitId) -> bool {
        let mut after = self
            .remaining
            .iter()
            .filter(|step| step.after_wait.as_ref() == Some(wait));
        self.demands_a_wait(starter)
            || after.any(|step| step.phase == JobPhase::Isolate || self.demands_a_wait(step))
    }

    /// Whether a wait for safety may have begun that one of the remaining steps waits for.
    pub fn may_wait_for_safety(&self) -> bool {
        let has_begun = !self.done.is_empty() || !self.waits_begun.is_empty();
        let mut remaining = self.remaining.iter();
        has_begun && remaining.any(|step| step.after_wait.is_some() || self.demands_a_wait(step))
    }

    /// Time since a step was done that counts, and time that does not, ms.
    fn past(&self, done: &DoneStep, guards: bool, now: &Stamp) -> (i64, i64) {
        if guards {
            self.measured_since(done.measured_ms, done.lasted_ms, now)
        } else {
            let past_ms = self.lasted_ms(now).saturating_sub(done.lasted_ms);
            (past_ms.max(0), 0)
        }
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
        let begun = self.wait_began(hazard, step);
        let by_hand = self.waits_begun.iter().rev();
        let by_hand = by_hand.filter(|(of, ..)| of == hazard);
        let begun = begun.map(|done| (done.measured_ms, done.lasted_ms));
        let by_hand = by_hand.map(|&(_, lasted_ms, measured_ms)| (measured_ms, lasted_ms));
        let Some((measured_ms, lasted_ms)) = begun.max(by_hand.max()) else {
            return HazardWait::NotBegun;
        };
        let (past_ms, unmeasured_ms) = self.measured_since(measured_ms, lasted_ms, now);
        let long_ms = i64::from(minutes) * 60_000;
        match long_ms.saturating_sub(past_ms) {
            left_ms if left_ms > 0 => HazardWait::Running {
                left_ms,
                unmeasured_ms,
            },
            _ => HazardWait::Over,
        }
    }

    /// The step that began the wait for this hazard.
    fn wait_began(&self, hazard: &HazardId, step: &PlannedStep) -> Option<&DoneStep> {
        let names =
            |one: &&DoneStep| one.step.starts_wait.is_some() && one.step.hazards.contains(hazard);
        let begun = self.done.iter().rev().find(names);
        begun
            .or_else(|| self.feed_cut(step))
            .or_else(|| self.supply_cut())
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

    /// Measured time since a moment of the job, and what else passed by the clocks, ms.
    fn measured_since(&self, measured_ms: i64, lasted_ms: i64, now: &Stamp) -> (i64, i64) {
        let measured_ms = self.measured_ms(now).saturating_sub(measured_ms).max(0);
        let lasted_ms = self.lasted_ms(now).saturating_sub(lasted_ms);
        (measured_ms, lasted_ms.saturating_sub(measured_ms).max(0))
    }
}
