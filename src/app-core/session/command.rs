//! What a technician can do, and why a command is refused or changes nothing.

use std::fmt;

use lidoff_catalog::format::{Pattern, Record, Text};
use lidoff_i18n::{localize, tr};
use lidoff_job::{AppendError, EventKind, JobId, Opened, PauseReason};

use super::storage::StorageError;

/// Something that the technician did.
#[derive(Clone, Debug, PartialEq)]
pub enum Command {
    /// Opens a new job. The first plan is made with it.
    Open(Box<Opened>),
    /// Records entries on an open job of this device, with a new plan if they require one.
    Record {
        /// The job.
        job: JobId,
        /// What happened.
        entries: Entries,
    },
}

impl Command {
    /// Records these entries on a job.
    ///
    /// # Errors
    /// [`CommandError::NotAnEntry`] where one of them opens or plans a job.
    pub fn record(job: &str, entries: Vec<EventKind>) -> Result<Self, CommandError> {
        Ok(Self::Record {
            job: JobId(job.to_owned()),
            entries: Entries::new(entries)?,
        })
    }

    /// Whether this is a double tap. Only opening a job counts: a second tap would make a
    /// second job, and the state of the first would not show it. Entries are compared with
    /// the job when their turn comes.
    pub fn repeats(&self, earlier: &Self) -> bool {
        matches!(self, Self::Open(_)) && self == earlier
    }
}

/// Entries for the log of an existing job: everything except its opening and its plans,
/// which [`Session`](super::Session) makes.
///
/// An empty list is valid: it records nothing, and makes a new plan if one is due.
#[derive(Clone, Debug, PartialEq)]
pub struct Entries(Vec<EventKind>);

impl Entries {
    /// These entries, in order.
    ///
    /// # Errors
    /// [`CommandError::NotAnEntry`] where one of them opens or plans a job.
    pub fn new(entries: Vec<EventKind>) -> Result<Self, CommandError> {
        let is_made = |one: &EventKind| {
            matches!(
                one,
                EventKind::Opened(_) | EventKind::Planned { .. } | EventKind::AppRestarted(_)
            )
        };
        if entries.iter().any(is_made) {
            return Err(CommandError::NotAnEntry);
        }
        Ok(Self(entries))
    }

    /// Only what was found or done, without the decisions about the plan.
    pub(super) fn without_decisions(&self) -> Self {
        let found = self.0.iter().filter(|entry| !entry.is_decision());
        Self(found.cloned().collect())
    }

    pub(super) const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn into_inner(self) -> Vec<EventKind> {
        self.0
    }
}

/// Why a command was refused. Nothing was stored, and the session did not change.
///
/// What was found is never refused for want of a plan: see [`Transaction::unplanned`].
///
/// [`Transaction::unplanned`]: super::Transaction::unplanned
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum CommandError {
    /// The jobs are not loaded yet.
    NotLoaded,
    /// Another window writes.
    ReadOnly,
    /// The job is not on this device.
    NoSuchJob(JobId),
    /// A new plan is due, and the catalog of this unit is not on this device.
    NoCatalog {
        /// The unit.
        unit: String,
    },
    /// The planner found no plan: why.
    NoPlan(Text),
    /// The job has no plan.
    Unplanned,
    /// The job is paused: a step cannot be done.
    Paused(PauseReason),
    /// The job is closed: a step cannot be done.
    Closed,
    /// A task is still open: the job cannot be closed as complete.
    TasksOpen,
    /// The step to be marked done is not the current one.
    StepNotInHand,
    /// The reading of this step failed, and the work stops until it passes: the step cannot
    /// be done, and its failure cannot be accepted.
    Stopped,
    /// The plan no longer fits what is known, and there is no new one: a step cannot be done.
    PlanStale,
    /// The current step has unmet demands.
    DemandsOpen,
    /// A wait before the current step is still running.
    WaitRuns,
    /// The step does not ask for this value.
    ValueNotAsked,
    /// The value does not have the form that this record asks for.
    BadValue(Box<Record>),
    /// The serial number of a new part is the one that was read on the old part.
    ValueOfOldPart(Box<Record>),
    /// The log has no such entry to undo.
    NothingToUndo,
    /// Only the session makes openings and plans.
    NotAnEntry,
    /// The log has a different event with this id.
    Taken(AppendError),
    /// Nothing was requested, and no plan is due.
    NotStored(StorageError),
}

impl fmt::Display for CommandError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::NotLoaded => tr!("The records are not open yet. Try again in a moment."),
            Self::ReadOnly => {
                tr!("Lidoff is open in another window; this one is read-only. Work there, or close it.")
            }
            Self::NoSuchJob(_) => tr!("This job is not on this device."),
            Self::NoCatalog { unit } => tr!(
                "Cannot replan: the catalog for this unit ({unit}) is not on this device.",
                unit
            ),
            Self::NoPlan(why) => why.clone(),
            Self::Unplanned => tr!("This job has no plan."),
            Self::Paused(_) => tr!("The step is not marked done: the job is paused. Resume it first."),
            Self::Closed => tr!("The step is not marked done: the job is closed."),
            Self::TasksOpen => tr!(
                "The job is not closed: a task is not done. Do it, drop it, or close the job for another visit."
            ),
            Self::StepNotInHand => {
                tr!("The step is not marked done: the plan has changed. Check the step on the screen.")
            }
            Self::Stopped => tr!(
                "The reading failed. Do not go on. Measure again, pause, or close up."
            ),
            Self::PlanStale => tr!(
                "The step is not marked done: the plan no longer fits. Choose how to go on first."
            ),
            Self::DemandsOpen => tr!(
                "The step is not marked done: tick, confirm or enter what it asks for first."
            ),
            Self::WaitRuns => tr!("The step is not marked done: the wait before it is not over."),
            Self::ValueNotAsked => {
                tr!("Not saved: this step does not ask for this value. Check the step on the screen.")
            }
            Self::BadValue(record) => {
                let text = localize(&record.text);
                match record.pattern.as_ref().map(Pattern::example) {
                    Some(example) => tr!(
                        "Not saved: {text} must look like “{example}”. Check it and enter it again.",
                        text,
                        example
                    ),
                    None => tr!(
                        "Not saved: this cannot be the value of “{text}”. Check it and enter it again.",
                        text
                    ),
                }
            }
            Self::ValueOfOldPart(record) => tr!(
                "Not saved: “{text}” is the same as on the old part. Read it on the new part.",
                text = localize(&record.text)
            ),
            Self::NothingToUndo => tr!("There is no such entry to undo. Check the job on the screen."),
            Self::NotAnEntry => {
                tr!("Lidoff opens and plans jobs itself: this cannot be entered by hand.")
            }
            Self::Taken(why) => return why.fmt(f),
            Self::NotStored(why) => return why.fmt(f),
        })
    }
}

impl std::error::Error for CommandError {}

impl From<AppendError> for CommandError {
    fn from(error: AppendError) -> Self {
        Self::Taken(error)
    }
}

impl From<StorageError> for CommandError {
    fn from(error: StorageError) -> Self {
        Self::NotStored(error)
    }
}

/// Why a command changes nothing: the job is already as requested. This is not an error; it
/// is the result of a double tap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unchanged {
    /// The step is done.
    AlreadyDone {
        /// Its number.
        step: u32,
    },
    /// The entry is undone.
    AlreadyUndone,
    /// The job is closed.
    AlreadyClosed,
    /// The job already contains it.
    AlreadyRecorded,
    /// Nothing was asked for, and no plan is due.
    NothingAsked,
}

impl fmt::Display for Unchanged {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::AlreadyDone { .. } => tr!("This step is already done."),
            Self::AlreadyUndone => tr!("This entry is already undone."),
            Self::AlreadyClosed => tr!("This job is already closed."),
            Self::AlreadyRecorded => tr!("This is already recorded."),
            Self::NothingAsked => tr!("There is nothing to record."),
        })
    }
}
