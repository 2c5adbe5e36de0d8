//! The entries recorded on a job.

use crate::event::{
    Danger, Event, EventId, Mishap, PauseReason, Photo, RecordedValue, Taken, UnavailablePart,
};
use crate::stamp::Stamp;
use lidoff_catalog::format::{FasteningId, HazardId, Reading, Record, StepId, Text, WaitId};

/// The reading of a check.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingTaken {
    pub event: EventId,
    /// Number of the step.
    pub step: u32,
    /// The step in the catalog; `None` if the plan does not have it.
    pub step_id: Option<StepId>,
    /// The check as planned; `None` if the plan has no such step.
    pub asked: Option<Reading>,
    /// The reading.
    pub taken: Taken,
    /// Whether it passed; `None` if the plan has no such check.
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

/// A value that was written down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ValueRecorded {
    pub event: EventId,
    /// Number of the step.
    pub step: u32,
    /// The step in the catalog.
    pub step_id: StepId,
    /// The record as planned.
    pub record: Record,
    /// The value.
    pub value: RecordedValue,
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
    /// Its text.
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

/// A fastener entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MishapNoted {
    pub event: EventId,
    /// What happened to them.
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

/// What happened to a fastener.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It cannot be found.
    Lost,
    /// It was discarded.
    Stripped,
    /// It is a new one.
    New,
}

/// A danger that was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DangerNoted {
    pub event: EventId,
    /// When.
    pub at: Stamp,
    pub danger: Danger,
    /// Number of the step at which it was found.
    pub step: Option<u32>,
    pub note: Text,
}

/// A hazard's demand that was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DemandMet {
    pub event: EventId,
    pub hazard: HazardId,
    /// Number of the step before which that was.
    pub step: u32,
    /// Which of its demands, from 0.
    pub demand: u16,
}

/// A wait that was ended early.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutShort {
    pub wait: WaitId,
    /// Number of the step that went ahead.
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
    /// The awaited part, translated, and the technician's note, as written.
    pub fn describe_note(&self) -> Text {
        let part = self.part.as_ref().map(UnavailablePart::describe);
        let note = Some(self.note.clone()).filter(|note| !note.is_empty());
        let both: Vec<Text> = part.into_iter().chain(note).collect();
        both.join(", ")
    }
}
