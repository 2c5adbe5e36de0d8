//! The state of a job.

use lidoff_catalog::format::{Hazard, HazardId, Text};
use lidoff_catalog::setup::Configuration;

use super::entries::{
    CutShort, DemandMet, Explanation, MishapNoted, NoteTaken, Pause, PhotoTaken, ReadingTaken,
};
use super::progress::{DoneStep, PlanMade, TaskState};
use crate::event::{
    BlockedOperation, EventId, Mishap, Opened, Outcome, Owed, PauseReason, Reason, UnavailablePart,
};
use crate::finding::Finding;
use crate::planned::{PlanSnapshot, PlannedStep};
use crate::refs::NamedTask;
use crate::stamp::Stamp;

/// A job as it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// How it began; `None` where that event is missing.
    pub opened: Option<Opened>,
    /// When it began.
    pub opened_at: Option<Stamp>,
    /// What is going on.
    pub status: Status,
    /// Every task that was ever asked for, in order.
    pub tasks: Vec<TaskState>,
    /// Options, and the answers given so far.
    pub setup: Configuration,
    /// When the technician must leave: wall clock, ms.
    pub leave_by_ms: Option<i64>,
    /// The plan as it stood when it was made, the latest.
    pub plan: Option<PlanSnapshot>,
    /// Each plan that was made, in order, without its steps.
    pub plans: Vec<PlanMade>,
    /// Set where tasks, answers, options or ways have changed since the plan was
    /// made.
    pub replan_due: Option<Reason>,
    /// Operations that are blocked on this unit.
    pub blocked: Vec<BlockedOperation>,
    /// Parts that were found broken, each named by the task of replacing it.
    pub broken: Vec<NamedTask>,
    /// Parts that were not available, the latest entry for each.
    pub unavailable_parts: Vec<UnavailablePart>,
    /// Every hazard that a plan of the job has named.
    pub hazards: Vec<Hazard>,
    /// Steps that are done, in the order of doing.
    pub done: Vec<DoneStep>,
    /// Steps still to be done; the first is in hand.
    pub remaining: Vec<PlannedStep>,
    /// Hazards that were acknowledged, with the step before which.
    pub heeded: Vec<(HazardId, u32)>,
    /// Demands of hazards that were met one by one.
    pub met: Vec<DemandMet>,
    /// Waits that a hazard demands and that were begun by hand: when, as time
    /// since the first event, ms.
    pub waits_begun: Vec<(HazardId, i64)>,
    /// Waits that were not waited out.
    pub cut_short: Vec<CutShort>,
    /// Steps whose demand was confirmed.
    pub confirmed: Vec<u32>,
    /// Checks that were read, in order; of several on one step the last governs.
    pub readings: Vec<ReadingTaken>,
    /// Checks that did not pass and are kept as failed: number of the step, and
    /// more on it.
    pub failures_kept: Vec<(u32, Text)>,
    /// Fasteners that cannot be found.
    pub lost: Vec<Mishap>,
    /// Fasteners that were discarded.
    pub stripped: Vec<Mishap>,
    /// New fasteners that were brought in.
    pub spares: Vec<Mishap>,
    /// The same three together, in order, each with its event.
    pub mishaps: Vec<MishapNoted>,
    /// Differences in the tally that have a reason.
    pub explained: Vec<Explanation>,
    /// What else of the tally has a reason.
    pub accounted: Vec<(Owed, Text)>,
    pub notes: Vec<NoteTaken>,
    /// Notes for the catalog's author.
    pub catalog_notes: Vec<NoteTaken>,
    /// Photos, in the order of taking.
    pub photos: Vec<PhotoTaken>,
    /// To whom the unit was given back, and the note on it.
    pub handed_over: Option<(Text, Text)>,
    /// Pauses, in order; the last is running while the job is paused.
    pub pauses: Vec<Pause>,
    /// Work up to the last event, ms.
    pub worked_ms: i64,
    /// That part of it that belongs to no step (before the first plan, at the
    /// wrap-up), ms.
    pub overhead_ms: i64,
    /// Work on the step in hand up to the last event, ms.
    pub in_hand_ms: i64,
    /// All time from the first event to the last, ms.
    pub lasted_ms: i64,
    /// The last event and when it was.
    pub head: Option<(EventId, Stamp)>,
    /// Irregularities in the log.
    pub findings: Vec<Finding>,
    /// The highest step number that any plan has used.
    pub(super) highest_number: u32,
}

/// What is going on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Status {
    /// The job has not begun.
    #[default]
    NotOpened,
    /// Work runs.
    Running,
    /// Work is stopped.
    Paused(PauseReason),
    /// The job is over.
    Closed {
        /// How it ended.
        outcome: Outcome,
        /// More on it.
        note: Text,
    },
}
