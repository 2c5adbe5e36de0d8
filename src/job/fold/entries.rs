//! The entries recorded on a job.

use crate::event::{Event, EventId, Mishap, PauseReason, Photo, Taken, UnavailablePart};
use crate::stamp::Stamp;
use lidoff_catalog::format::{FasteningId, HazardId, Reading, StepId, Text, WaitId};

/// A check that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingTaken {
    pub event: EventId,
    /// Number of the step.
    pub step: u32,
    /// The step in the catalog; `None` where the plan does not have it.
    pub step_id: Option<StepId>,
    /// What was asked for; `None` where the plan does not have such a step.
    pub asked: Option<Reading>,
    /// What was read.
    pub taken: Taken,
    /// Whether it passed; `None` where the plan has no such check.
    pub passed: Option<bool>,
}

impl ReadingTaken {
    pub(super) fn is_of_same_step(&self, other: &Self) -> bool {
        match (&self.step_id, &other.step_id) {
            (Some(one), Some(two)) => one == two,
            _ => self.step == other.step,
        }
    }
}

/// A difference in the tally that has a reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Explanation {
    pub fastening: FasteningId,
    pub difference: i32,
    /// The reason.
    pub note: Text,
}

/// A note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteTaken {
    pub event: EventId,
    /// When.
    pub at: Stamp,
    /// The words.
    pub text: Text,
    /// Number of the step that it is about.
    pub step: Option<u32>,
}

impl NoteTaken {
    pub(super) fn new(event: &Event, text: &Text, step: Option<u32>) -> Self {
        Self {
            event: event.id,
            at: event.at,
            text: text.clone(),
            step,
        }
    }
}

/// Something that happened to fasteners, as it was noted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MishapNoted {
    pub event: EventId,
    /// What became of them.
    pub fate: Fate,
    /// The set, and how many.
    pub mishap: Mishap,
}

impl MishapNoted {
    pub(super) fn new(event: &Event, fate: Fate, mishap: &Mishap) -> Self {
        Self {
            event: event.id,
            fate,
            mishap: mishap.clone(),
        }
    }
}

/// What became of a fastener.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It cannot be found.
    Lost,
    /// It was discarded.
    Stripped,
    /// It is a new one.
    New,
}

/// A demand of a hazard that was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DemandMet {
    pub event: EventId,
    pub hazard: HazardId,
    /// Number of the step before which that was.
    pub step: u32,
    /// Which of its demands, from 0.
    pub demand: u16,
}

/// A wait that was not waited out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutShort {
    pub wait: WaitId,
    /// Number of the step that went on without it.
    pub step: u32,
    pub why: Text,
}

/// A photo that was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoTaken {
    pub event: EventId,
    /// When.
    pub at: Stamp,
    pub photo: Photo,
}

/// A pause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pause {
    /// Why.
    pub reason: PauseReason,
    /// The part that work waits for.
    pub part: Option<UnavailablePart>,
    /// What the technician wrote.
    pub note: Text,
    /// When it began.
    pub from: Stamp,
    /// How long up to the last event, ms.
    pub ms: i64,
}

impl Pause {
    /// The part that work waits for, in the language chosen, and what the technician
    /// wrote, as it was written.
    pub fn describe_note(&self) -> Text {
        let part = self.part.as_ref().map(UnavailablePart::describe);
        let note = Some(self.note.clone()).filter(|note| !note.is_empty());
        let both: Vec<Text> = part.into_iter().chain(note).collect();
        both.join(", ")
    }
}
