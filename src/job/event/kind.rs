//! An event, and all kinds of event.

use serde::de::Error as _;
use serde::{Deserialize, Deserializer, Serialize, Serializer};
use serde_json::value::RawValue;

use lidoff_catalog::format::{
    AnswerId, FasteningId, HazardId, OptionId, PartId, QuestionId, RecordId, Text, WaitId,
};

use super::danger::Danger;
use super::entry::{Mishap, Owed, Photo, RecordedValue, Taken};
use super::id::EventId;
use super::obstacle::{BlockedOperation, UnavailablePart};
use super::opening::{Opened, Outcome};
use super::reason::{PauseReason, Reason};
use super::unknown::UnknownKind;
use crate::measured::Restart;
use crate::planned::{Duty, PlanSnapshot};
use crate::refs::{NamedTask, OpRef, TaskRef};
use crate::stamp::Stamp;

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Event {
    /// Its name.
    pub id: EventId,
    /// When.
    pub at: Stamp,
    #[serde(rename = "what", serialize_with = "write_kind")]
    pub kind: EventKind,
}

fn write_kind<S: Serializer>(kind: &EventKind, to: S) -> Result<S::Ok, S::Error> {
    match kind {
        EventKind::Unknown(unknown) => unknown.serialize(to),
        known => known.serialize(to),
    }
}

/// Reads JSON text only (`serde_json::from_str`), because the text of an unknown kind is
/// kept.
impl<'t> Deserialize<'t> for Event {
    fn deserialize<D: Deserializer<'t>>(from: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(deny_unknown_fields)]
        struct Read<'t> {
            id: EventId,
            at: Stamp,
            #[serde(borrow)]
            what: &'t RawValue,
        }

        let Read { id, at, what } = Read::deserialize(from)?;
        let kind = lidoff_catalog::json::read(what.get()).or_else(|error| {
            let unknown = UnknownKind::read(what.get(), &error);
            unknown.map(EventKind::Unknown).ok_or(error)
        });
        let kind = kind.map_err(D::Error::custom)?;
        Ok(Self { id, at, kind })
    }
}

impl Event {
    /// Whether a newer version recorded it, in a form that is not known here.
    pub const fn is_unknown(&self) -> bool {
        matches!(self.kind, EventKind::Unknown(_))
    }
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum EventKind {
    /// The job began.
    Opened(Opened),
    /// A new plan for the remaining work; it replaces the previous one.
    Planned {
        /// The remaining steps, in order.
        plan: PlanSnapshot,
        /// Why it was made.
        because: Reason,
    },
    /// This step is done.
    Done {
        /// Its number.
        step: u32,
    },
    /// This event counts as if it had never happened.
    Undone {
        /// The event. Undoing an `Undone` event restores what it took back.
        event: EventId,
    },
    /// Work stopped.
    Paused {
        /// Why.
        reason: PauseReason,
        /// The awaited part. Logs from before this field was added have it in the note, in
        /// English; they are shown as written.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        part: Option<UnavailablePart>,
        /// What the technician wrote.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// Work goes on.
    Resumed,
    /// The app was started again while a wait for safety may run. Recorded by the app, before
    /// the first entry of the new run.
    AppRestarted(Restart),
    /// The technician's answer about a span during a step in which the app was closed or
    /// the device asleep.
    Gap {
        /// Wall clock at its beginning, ms.
        from_ms: i64,
        /// Wall clock at its end, ms.
        to_ms: i64,
        /// How much of it was work, ms.
        work_ms: i64,
    },
    /// A question was answered.
    Answered {
        question: QuestionId,
        answer: AnswerId,
    },
    /// A task was added.
    TaskAdded(NamedTask),
    /// A task was dropped.
    TaskDropped(TaskRef),
    /// An operation is blocked on this unit: the plan takes another route.
    Blocked(BlockedOperation),
    /// The operation is possible after all.
    Unblocked(OpRef),
    /// The part of this task was found broken. Whether it is replaced depends on whether
    /// the job has the task.
    FoundBroken(NamedTask),
    /// A danger was found: smoke, a live part, a bad battery, somebody hurt.
    DangerFound {
        #[serde(rename = "danger")]
        what: Danger,
        /// Number of the step at which it was found.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
        /// A note.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// The unit is fitted differently from what was entered.
    FittedWith {
        /// All options that it is fitted with.
        fitted: Vec<OptionId>,
    },
    /// The technician turned back: open tasks are left for another visit, and the unit is
    /// closed.
    TurnedBack,
    /// Only this task is left for another visit.
    TaskLeft(TaskRef),
    /// The part for a task is missing, or the wrong one was brought.
    #[serde(rename = "not-to-hand")]
    PartUnavailable(UnavailablePart),
    /// The reading of a check.
    Read {
        /// Number of the step that asks for it.
        step: u32,
        /// The reading.
        taken: Taken,
    },
    /// A value was written down. The latest value of a record counts.
    Recorded {
        /// Number of the step that asks for it.
        step: u32,
        record: RecordId,
        value: RecordedValue,
    },
    /// A failed check was recorded as failed.
    FailureKept {
        /// Number of the step.
        step: u32,
        /// A note.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// A step's confirmation was given.
    Confirmed {
        /// Number of the step.
        step: u32,
    },
    /// A hazard was acknowledged, and its demands were met.
    Heeded {
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
    },
    /// One demand of a hazard was met.
    DemandMet {
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
        /// Which of its demands, from 0.
        demand: u16,
    },
    /// A wait that a hazard demands was started by hand, because no earlier step started
    /// it.
    WaitBegun { hazard: HazardId },
    /// A wait that is not for safety was ended early.
    WaitCutShort {
        wait: WaitId,
        /// Number of the step that went ahead.
        step: u32,
        why: Text,
    },
    /// A step was left half done: so many fasteners of a set are out, or back in, so far.
    PartlyDone {
        /// Number of the step.
        step: u32,
        fastening: FasteningId,
        /// How many, of those that the step handles.
        count: u16,
    },
    /// Fasteners cannot be found.
    FastenerLost(Mishap),
    /// Fasteners are damaged (head or thread stripped) and were discarded.
    FastenerStripped(Mishap),
    /// New fasteners were fitted for lost or stripped ones.
    SpareUsed(Mishap),
    /// A difference in the tally has a reason.
    Explained {
        fastening: FasteningId,
        /// The explained difference, as the tally shows it; a different one is not
        /// explained.
        difference: i32,
        /// The reason.
        note: Text,
    },
    /// Something else in the tally has a reason.
    Accounted {
        /// The subject.
        owed: Owed,
        /// The reason.
        note: Text,
    },
    /// Something was done with an old part: wiped, returned, disposed of.
    OldPartHandled { part: PartId, duty: Duty },
    /// The unit differs from its catalog: a note for the catalog's author.
    CatalogWrong {
        /// The words.
        text: Text,
        /// Number of the step that it is about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// A photo was taken. Undoing this deletes it.
    PhotoTaken(Photo),
    Note {
        /// The words.
        text: Text,
        /// Number of the step that it is about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// The time to leave was changed or removed.
    LeaveBy {
        /// Wall clock, ms.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at_ms: Option<i64>,
    },
    /// The unit was handed over.
    HandedOver {
        /// To whom.
        to: Text,
        /// What was agreed; what is still open.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// The job was closed.
    Closed {
        /// The outcome.
        outcome: Outcome,
        /// More on it; what the next visit must bring.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// Something that a newer version recorded. It changes nothing here.
    #[serde(skip)]
    Unknown(UnknownKind),
}

impl EventKind {
    /// Whether it can change what the plan must do.
    pub const fn can_change_plan(&self) -> bool {
        matches!(
            self,
            Self::Answered { .. }
                | Self::TaskAdded(_)
                | Self::TaskDropped(_)
                | Self::TaskLeft(_)
                | Self::Blocked(_)
                | Self::Unblocked(_)
                | Self::FoundBroken(_)
                | Self::PartUnavailable(_)
                | Self::FittedWith { .. }
                | Self::TurnedBack
                | Self::Read { .. }
        )
    }

    /// Whether it is a decision about the plan. Everything else states what was found or done:
    /// it is recorded even when there is no plan for it.
    pub const fn is_decision(&self) -> bool {
        matches!(
            self,
            Self::TaskAdded(_)
                | Self::TaskDropped(_)
                | Self::TaskLeft(_)
                | Self::Unblocked(_)
                | Self::FittedWith { .. }
                | Self::TurnedBack
        )
    }
}
