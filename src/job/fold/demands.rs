//! What a step requires before it can be marked done, and whether a check passed.

use super::entries::ReadingTaken;
use super::job::Job;
use crate::event::Taken;
use lidoff_catalog::format::{Demand, HazardId, QuestionId, Reading, RecordId, Text};

/// The unmet demands of a step.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Demands {
    /// Hazards to acknowledge.
    pub heed: Vec<HazardId>,
    /// A check to read.
    pub read: bool,
    /// Required values to write down.
    pub record: Vec<RecordId>,
    /// Something to confirm.
    pub confirm: bool,
    /// A question to answer.
    pub answer: Option<QuestionId>,
}

impl Demands {
    /// Whether all demands are met.
    pub fn is_met(&self) -> bool {
        *self == Self::default()
    }
}

impl Job {
    /// The unmet demands of the current step.
    pub fn demands(&self) -> Demands {
        let Some(step) = self.next() else {
            return Demands::default();
        };
        let number = step.number;
        let heeded = |hazard: &&HazardId| {
            !self.standing.contains(hazard) && !self.heeded.contains(&((*hazard).clone(), number))
        };
        let read = || {
            let mut readings = self.readings.iter().rev();
            let last = readings.find(|reading| reading.step == number);
            last.is_some_and(|last| {
                let is_noted = !step.stops_on_failure() && self.failure_kept(number).is_some();
                last.passed != Some(false) || is_noted
            })
        };
        Demands {
            heed: step.hazards.iter().filter(heeded).cloned().collect(),
            read: step.reading.is_some() && !read(),
            record: {
                let records = step.records.iter().filter(|record| record.required);
                let open = records.filter(|record| self.value_at(step, &record.id).is_none());
                open.map(|record| record.id.clone()).collect()
            },
            confirm: step.wants_confirming() && !self.confirmed.contains(&number),
            answer: step
                .asks
                .clone()
                // What was answered before may look otherwise here.
                .filter(|question| !self.answered_here.contains(question)),
        }
    }

    /// Whether the work is stopped at the current step: its reading failed, and nothing that
    /// rests on it may be done until it passes.
    pub fn is_stopped(&self) -> bool {
        let Some(step) = self.next() else {
            return false;
        };
        let mut readings = self.readings.iter().rev();
        let last = readings.find(|reading| reading.step == step.number);
        step.stops_on_failure() && last.is_some_and(|last| last.passed == Some(false))
    }

    /// Whether nothing but waits is left of what the hazards of the current step demand.
    pub fn only_hazard_waits_left(&self) -> bool {
        let Some(step) = self.next() else {
            return false;
        };
        let is_met = |hazard: &HazardId, nth: usize| {
            let mut met = self.met.iter();
            met.any(|one| {
                one.hazard == *hazard && one.step == step.number && usize::from(one.demand) == nth
            })
        };
        let open = self.demands().heed;
        let mut hazards = open.iter().filter_map(|id| self.hazard(id));
        hazards.all(|hazard| {
            let mut demands = hazard.demands.iter().enumerate();
            !hazard.demands.is_empty()
                && demands.all(|(nth, demand)| {
                    matches!(demand, Demand::WaitMinutes(_)) || is_met(&hazard.id, nth)
                })
        })
    }

    /// Failed checks that were not repeated.
    pub fn failed(&self) -> impl Iterator<Item = &ReadingTaken> {
        let readings = self.readings.iter().enumerate();
        readings
            .filter(|(at, reading)| {
                let mut later = self.readings[at + 1..].iter();
                reading.passed == Some(false) && !later.any(|next| next.is_of_same_step(reading))
            })
            .map(|(_, reading)| reading)
    }

    /// The note on a failed check of this step that was recorded as failed.
    pub fn failure_kept(&self, step: u32) -> Option<&Text> {
        let mut kept = self.failures_kept.iter().rev();
        kept.find(|(number, _)| *number == step)
            .map(|(_, note)| note)
    }
}

/// Whether a reading passes.
pub fn passes(asked: &Reading, taken: Taken) -> bool {
    match (asked, taken) {
        (Reading::Value { low, high, .. }, Taken::Value(value)) => {
            value.is_finite()
                && low.is_none_or(|low| value >= low)
                && high.is_none_or(|high| value <= high)
        }
        (Reading::Seen(_), Taken::Seen(seen)) => seen,
        _ => false,
    }
}
