//! An event, and all kinds of event.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{AnswerId, FasteningId, HazardId, OptionId, QuestionId, Text, WaitId};

use super::entry::{Mishap, Owed, Photo, Taken};
use super::id::EventId;
use super::obstacle::{BlockedOperation, UnavailablePart};
use super::opening::{Opened, Outcome};
use super::reason::{PauseReason, Reason};
use crate::planned::PlanSnapshot;
use crate::refs::{NamedTask, OpRef, TaskRef};
use crate::stamp::Stamp;

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Its name.
    pub id: EventId,
    /// When.
    pub at: Stamp,
    #[serde(rename = "what")]
    pub kind: EventKind,
}

/// What happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum EventKind {
    /// The job began.
    Opened(Opened),
    /// There is a plan for what is left; it takes the place of the one before.
    Planned {
        /// What is left, in order.
        plan: PlanSnapshot,
        /// Why it was made.
        because: Reason,
    },
    /// This step is done.
    Done {
        /// Its number.
        step: u32,
    },
    /// This event is to count as never having happened.
    Undone {
        /// The event; an `Undone` itself to put back what it took out.
        event: EventId,
    },
    /// Work stopped.
    Paused {
        /// Why.
        reason: PauseReason,
        /// The part that work waits for. Logs written before there was this field say it in
        /// the note, in English: they are shown as they were written.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        part: Option<UnavailablePart>,
        /// What the technician wrote.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// Work goes on.
    Resumed,
    /// What a span was in which the app was closed or asleep in mid-step: the
    /// technician's answer.
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
    /// One more task.
    TaskAdded(NamedTask),
    /// A task that will not be done.
    TaskDropped(TaskRef),
    /// An operation is blocked on this unit: the plan takes another route.
    Blocked(BlockedOperation),
    /// That operation is possible after all.
    Unblocked(OpRef),
    /// The part that this task would replace was found broken. Whether it is
    /// replaced depends on whether the job has that task.
    FoundBroken(NamedTask),
    /// The unit is fitted differently from what was entered.
    FittedWith {
        /// The options that it is fitted with, all of them.
        fitted: Vec<OptionId>,
    },
    /// Time is up: what is open is left for another visit, and the unit is closed.
    TurnedBack,
    /// This task alone is left for another visit.
    TaskLeft(TaskRef),
    /// The part that a task is to fit is missing, or the wrong one was brought.
    #[serde(rename = "not-to-hand")]
    PartUnavailable(UnavailablePart),
    /// A check was read.
    Read {
        /// Number of the step that asks for it.
        step: u32,
        /// What was read.
        taken: Taken,
    },
    /// The check of a step did not pass, and is kept as failed.
    FailureKept {
        /// Number of the step.
        step: u32,
        /// More on it.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// What a step wants confirmed was confirmed.
    Confirmed {
        /// Number of the step.
        step: u32,
    },
    /// A hazard was acknowledged, its demands met.
    Heeded {
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
    },
    /// One of the things that a hazard demands is done.
    DemandMet {
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
        /// Which of its demands, from 0.
        demand: u16,
    },
    /// The wait that a hazard demands begins now: nothing that was done before
    /// began it.
    WaitBegun { hazard: HazardId },
    /// A wait that guards nobody was not waited out.
    WaitCutShort {
        wait: WaitId,
        /// Number of the step that went on without it.
        step: u32,
        why: Text,
    },
    /// Fasteners cannot be found.
    FastenerLost(Mishap),
    /// Fasteners cannot be used again (head chewed up, thread gone); they are
    /// discarded.
    FastenerStripped(Mishap),
    /// New fasteners were brought in for lost or stripped ones.
    SpareUsed(Mishap),
    /// A difference in the tally has a reason.
    Explained {
        fastening: FasteningId,
        /// The difference that is explained, as the tally shows it; another one
        /// is not.
        difference: i32,
        /// The reason.
        note: Text,
    },
    /// Something else that the tally asks for has a reason.
    Accounted {
        /// What.
        owed: Owed,
        /// The reason.
        note: Text,
    },
    /// The unit is not as its catalog says: a note for the catalog's author.
    CatalogWrong {
        /// The words.
        text: Text,
        /// Number of the step that it is about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// A photo was taken. Undone, it is taken away again.
    PhotoTaken(Photo),
    Note {
        /// The words.
        text: Text,
        /// Number of the step that it is about.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        step: Option<u32>,
    },
    /// The technician must leave at another time, or at none.
    LeaveBy {
        /// Wall clock, ms.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        at_ms: Option<i64>,
    },
    /// The unit was given back.
    HandedOver {
        /// To whom.
        to: Text,
        /// What was agreed; what is still open.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
    /// The job is over.
    Closed {
        /// How it ended.
        outcome: Outcome,
        /// More on it; what the next visit must bring.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        note: Text,
    },
}
