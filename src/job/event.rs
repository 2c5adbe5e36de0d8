//! What can happen on a job, as the log keeps it.
//!
//! An event is never edited. What was entered by mistake is taken out by an
//! [`EventKind::Undone`] event, and put in again by undoing that.

use std::fmt;

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{
    AnswerId, ConnectionId, FasteningId, HandBackId, HazardId, OptionId, QuestionId, Text, WaitId,
};
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::{localize, tr, tr_noop};

use super::log::JobId;
use super::planned::PlanSnapshot;
use super::refs::{NamedTask, OpRef, TaskRef};
use super::stamp::{RunId, Stamp};

/// Names an event in its job. Events are read in the order of their ids.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventId {
    /// One more than the highest in the log when the event was made.
    pub seq: u32,
    /// The run that made it: two runs that did not know of each other can have
    /// used the same number.
    pub run: RunId,
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:010}-{}", self.seq, self.run)
    }
}

/// Something that happened.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Event {
    /// Its name.
    pub id: EventId,
    /// When.
    pub at: Stamp,
    /// What.
    pub what: EventKind,
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
        /// More on it.
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
        /// The question.
        question: QuestionId,
        /// The answer.
        answer: AnswerId,
    },
    /// One more task.
    TaskAdded(NamedTask),
    /// A task that will not be done.
    TaskDropped(TaskRef),
    /// A way out cannot be gone on this unit: the plan goes round it.
    Blocked(BlockedOperation),
    /// That way can be gone after all.
    Unblocked(OpRef),
    /// The part that this task would replace was found broken. Whether it is
    /// replaced is said by a task of the job.
    FoundBroken(NamedTask),
    /// The unit is fitted otherwise than was said.
    FittedWith {
        /// The options that it is fitted with, all of them.
        fitted: Vec<OptionId>,
    },
    /// Time is up: what is open is left for another visit, and the unit is closed.
    TurnedBack,
    /// This task alone is left for another visit.
    TaskLeft(TaskRef),
    /// The part that a task is to fit is not to hand.
    NotToHand(NotToHand),
    /// A check was read.
    Read {
        /// Number of the step that asks for it.
        step: u32,
        /// What was read.
        taken: Taken,
    },
    /// The check of a step did not pass, and it is left at that.
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
        /// The hazard.
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
    },
    /// One of the things that a hazard demands is done.
    DemandMet {
        /// The hazard.
        hazard: HazardId,
        /// Number of the step before which that was.
        step: u32,
        /// Which of its demands, from 0.
        demand: u16,
    },
    /// The wait that a hazard demands begins now: nothing that was done before
    /// began it.
    WaitBegun {
        /// The hazard.
        hazard: HazardId,
    },
    /// A wait that guards nobody was not waited out.
    WaitCutShort {
        /// The wait.
        wait: WaitId,
        /// Number of the step that went on without it.
        step: u32,
        /// Why.
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
        /// The fastening.
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
    /// A note.
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
        /// What was said; what is still open.
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

/// How a job begins.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opened {
    /// The unit.
    pub unit: UnitRef,
    /// Job reference.
    pub reference: Text,
    /// Customer and site, as the technician notes them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub site: Text,
    /// Who does the job.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub technician: Text,
    /// How this unit is fitted.
    pub setup: Configuration,
    /// What is to be done.
    pub tasks: Vec<NamedTask>,
    /// When the technician must leave: wall clock, ms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leave_by_ms: Option<i64>,
    /// The visit before, whose open tasks this one takes up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub follows: Option<JobId>,
}

/// The unit, as a job remembers it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitRef {
    /// Names its catalog.
    pub id: String,
    /// What it is called.
    pub name: Text,
    /// Revision of the catalog.
    pub revision: Text,
}

/// Why a plan was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Reason {
    /// It is the first.
    First,
    /// A task was added.
    TaskAdded,
    /// A task was dropped.
    TaskDropped,
    /// A question was answered otherwise than assumed.
    Answered,
    /// A way out was found blocked.
    RouteBlocked,
    /// A way that was blocked can be gone after all.
    RouteOpen,
    /// A part was found broken.
    PartBroken,
    /// The part that a task is to fit is not to hand: that task is left.
    PartNotToHand,
    /// The unit is fitted otherwise than was said.
    FittedOtherwise,
    /// The unit is closed, nothing more is done.
    ClosingUp,
    /// Another reason, in words.
    Other(Text),
}

impl Reason {
    /// What it is called.
    pub fn name(&self) -> &str {
        match self {
            Self::First => tr_noop!("first plan"),
            Self::TaskAdded => tr_noop!("task added"),
            Self::TaskDropped => tr_noop!("task dropped"),
            Self::Answered => tr_noop!("answer changed"),
            Self::RouteBlocked => tr_noop!("route blocked"),
            Self::RouteOpen => tr_noop!("blocked route open again"),
            Self::PartBroken => tr_noop!("part found broken"),
            Self::PartNotToHand => tr_noop!("part not available"),
            Self::FittedOtherwise => tr_noop!("unit fitted differently"),
            Self::ClosingUp => tr_noop!("closing up"),
            Self::Other(words) => words,
        }
    }
}

/// Why work stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PauseReason {
    /// A part is missing or wrong.
    PartMissing,
    /// The customer needs the unit or the place.
    CustomerNeedsUnit,
    /// A break.
    Break,
    /// Called away.
    CalledAway,
    /// Something else; the note says what.
    Other,
}

impl PauseReason {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::PartMissing,
        Self::CustomerNeedsUnit,
        Self::Break,
        Self::CalledAway,
        Self::Other,
    ];

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::PartMissing => tr_noop!("part missing"),
            Self::CustomerNeedsUnit => tr_noop!("customer needs the unit"),
            Self::Break => tr_noop!("break"),
            Self::CalledAway => tr_noop!("called away"),
            Self::Other => tr_noop!("something else"),
        }
    }
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Taken {
    /// A value, in the unit that the step names.
    Value(f64),
    /// Whether it was seen or heard.
    Seen(bool),
}

/// Something that happened to fasteners of one set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mishap {
    /// The set.
    pub fastening: FasteningId,
    /// How many.
    pub count: u16,
    /// More on it.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: Text,
}

/// The part that a task is to fit is not to hand.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NotToHand {
    /// The task.
    pub task: NamedTask,
    /// How it is not.
    pub lack: Lack,
}

/// How a part is not to hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lack {
    /// It was not brought, or is not in its box.
    Missing,
    /// Another one was brought.
    Wrong,
}

impl Lack {
    /// What is said of the part.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Missing => tr_noop!("the new part is missing"),
            Self::Wrong => tr_noop!("the wrong part was brought"),
        }
    }
}

impl NotToHand {
    /// "Main board: the wrong part was brought".
    pub fn words(&self) -> String {
        format!(
            "{}: {}",
            localize(&self.task.name),
            localize(self.lack.name())
        )
    }

    /// The same as a log keeps it, whatever language its writer reads.
    pub fn note(&self) -> Text {
        format!("{}: {}", self.task.name, self.lack.name())
    }
}

/// Something beside a set's difference that the tally asks a reason for.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Owed {
    /// So many fasteners of a set are gone, or their places are left empty;
    /// another number is not explained.
    Gone {
        /// The set.
        fastening: FasteningId,
        /// How many.
        count: u32,
    },
    /// A cable that is still parted.
    Cable(ConnectionId),
    /// A piece that is not where it belongs.
    HandBack(HandBackId),
    /// Fasteners that no step of the job touches.
    Strange(FasteningId),
}

/// A photo that was taken. The picture itself lies on the device that took it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Names it in its job.
    pub name: String,
    /// Number of the step that it was taken at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<u32>,
    /// Its size, bytes.
    pub bytes: u32,
}

/// A way out that cannot be gone on this unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockedOperation {
    /// The operation that cannot be done: easing or taking off.
    pub op: OpRef,
    /// Name of the part.
    pub name: Text,
    /// The fasteners that do not come undone, where it is they.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastening: Option<FasteningId>,
}

impl BlockedOperation {
    /// "Service door cannot be eased: a fastener does not come undone".
    pub fn words(&self) -> String {
        let what = match self.op {
            OpRef::Ease(_) => tr!("cannot be eased"),
            _ => tr!("cannot be taken off"),
        };
        let why = match self.fastening {
            Some(_) => tr!(": a fastener will not come loose"),
            None => String::new(),
        };
        format!("{} {what}{why}", localize(&self.name))
    }
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Every task done, the unit proven.
    Complete,
    /// The unit is closed, but another visit is needed.
    AnotherVisit,
    /// The unit was left open or out of use.
    LeftOpen,
    /// Nothing was done.
    CalledOff,
}

impl Outcome {
    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Complete => tr_noop!("complete"),
            Self::AnotherVisit => tr_noop!("another visit needed"),
            Self::LeftOpen => tr_noop!("unit left open"),
            Self::CalledOff => tr_noop!("cancelled"),
        }
    }
}
