//! The state of a job.

use lidoff_catalog::format::{Hazard, HazardId, PartId, QuestionId, Text};
use lidoff_catalog::setup::Configuration;

use super::entries::{
    CutShort, DangerNoted, DemandMet, Explanation, MishapNoted, NoteTaken, Pause, PhotoTaken,
    ReadingTaken, ValueRecorded,
};
use super::progress::{DoneStep, PartlyDone, PlanMade, TaskState};
use crate::event::{
    BlockedOperation, EventId, Mishap, Opened, Outcome, Owed, PauseReason, Reason, UnavailablePart,
};
use crate::finding::Finding;
use crate::measured::Restart;
use crate::planned::{Duty, OldPart, PlanSnapshot, PlannedStep, PowerSource};
use crate::refs::NamedTask;
use crate::stamp::Stamp;

/// The state of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// The opening event; `None` if it is missing.
    pub opened: Option<Opened>,
    /// When it began.
    pub opened_at: Option<Stamp>,
    /// The status of the job.
    pub status: Status,
    /// All tasks ever requested, in order.
    pub tasks: Vec<TaskState>,
    /// Options, and the answers given so far.
    pub setup: Configuration,
    /// When the technician must leave: wall clock, ms.
    pub leave_by_ms: Option<i64>,
    /// The latest plan, as it was when it was made.
    pub plan: Option<PlanSnapshot>,
    /// All plans, in order, without their steps.
    pub plans: Vec<PlanMade>,
    /// Set if tasks, answers, options or blocked operations have changed since the plan was
    /// made.
    pub replan_due: Option<Reason>,
    /// The questions that were answered at the step in hand.
    pub answered_here: Vec<QuestionId>,
    /// Operations that are blocked on this unit.
    pub blocked: Vec<BlockedOperation>,
    /// Parts that were found broken, each named by the task of replacing it.
    pub broken: Vec<NamedTask>,
    /// Dangers that were found, in order.
    pub dangers: Vec<DangerNoted>,
    /// Parts that were not available, the latest entry for each.
    pub unavailable_parts: Vec<UnavailablePart>,
    /// Every hazard that a plan of the job has named.
    pub hazards: Vec<Hazard>,
    /// Completed steps, in the order in which they were done.
    pub done: Vec<DoneStep>,
    /// Remaining steps; the first is the current one.
    pub remaining: Vec<PlannedStep>,
    /// Steps that were left half done.
    pub partly_done: Vec<PartlyDone>,
    /// The energy sources that the plans name.
    pub sources: Vec<PowerSource>,
    /// The sources that are isolated now.
    pub isolated: Vec<PartId>,
    /// Sources whose isolation is to be verified again.
    pub verify_due: Vec<PartId>,
    /// Sources that turned out not to be isolated, each with the number of steps that were
    /// done then.
    pub isolation_lost: Vec<(PartId, usize)>,
    /// Hazards whose control holds beyond the step before which it was confirmed.
    pub standing: Vec<HazardId>,
    /// Acknowledged hazards, each with the step that follows.
    pub heeded: Vec<(HazardId, u32)>,
    /// Demands of hazards that were met individually.
    pub met: Vec<DemandMet>,
    /// Hazard waits started by hand: when, as time since the first event, ms, and as measured
    /// time.
    pub waits_begun: Vec<(HazardId, i64, i64)>,
    /// Waits that were ended early.
    pub cut_short: Vec<CutShort>,
    /// Steps with a confirmed demand.
    pub confirmed: Vec<u32>,
    /// Readings, in order; if a step has several, the last one counts.
    pub readings: Vec<ReadingTaken>,
    /// Values that were written down, in order; the latest of a record counts.
    pub recorded: Vec<ValueRecorded>,
    /// Checks recorded as failed: number of the step, and a note.
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
    /// Other tally entries with a reason.
    pub accounted: Vec<(Owed, Text)>,
    /// What must be done with the parts that the plans replace.
    pub old_parts: Vec<OldPart>,
    /// What was done with old parts.
    pub handled: Vec<(EventId, PartId, Duty)>,
    pub notes: Vec<NoteTaken>,
    /// Notes for the catalog's author.
    pub catalog_notes: Vec<NoteTaken>,
    /// Photos, in the order of taking.
    pub photos: Vec<PhotoTaken>,
    /// Who the unit was handed over to, and the note.
    pub handed_over: Option<(Text, Text)>,
    /// Pauses, in order; the last is running while the job is paused.
    pub pauses: Vec<Pause>,
    /// Work up to the last event, ms.
    pub worked_ms: i64,
    /// Work that belongs to no step (before the first plan, at the wrap-up), ms.
    pub overhead_ms: i64,
    /// Work on the current step up to the last event, ms.
    pub in_hand_ms: i64,
    /// Total time from the first event to the last, ms.
    pub lasted_ms: i64,
    /// How much of it is certain to have passed, ms.
    pub measured_ms: i64,
    /// The restart of the app since the last event, for the session to set.
    pub restart: Option<Restart>,
    /// The last event and when it was.
    pub head: Option<(EventId, Stamp)>,
    /// Irregularities in the log.
    pub findings: Vec<Finding>,
    /// What [`undo_next`](Self::undo_next) names, unless changes are due.
    pub(super) last_entries: Vec<EventId>,
    /// Changes that no plan takes into account yet.
    pub(super) changes_due: Vec<EventId>,
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
