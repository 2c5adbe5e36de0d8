//! A command that is ready to be stored, and how a session applies it after that.

use std::sync::Arc;

use lidoff_catalog::model::Catalog;
use lidoff_job::{Event, EventKind, Job, Log, QuarantinedRecord, Reason, Stamp, fold};
use lidoff_planner::progress::ProgressHandler;

use super::command::{CommandError, Unchanged};
use super::storage::Batch;
use crate::planning;

/// The outcome of a command.
#[derive(Clone, Debug)]
pub enum Outcome {
    /// Events to store; the session changes when they are
    /// [committed](super::Session::commit).
    Append(Transaction),
    /// Nothing to store.
    Unchanged(Unchanged),
}

impl Outcome {
    /// The transaction, if there is something to store.
    pub fn transaction(self) -> Option<Transaction> {
        match self {
            Self::Append(transaction) => Some(transaction),
            Self::Unchanged(_) => None,
        }
    }
}

/// A command that is ready to be stored. Dropping it has no effect.
#[derive(Clone, Debug)]
#[must_use = "store the batch, then commit the transaction"]
pub struct Transaction {
    /// The log that it was made for; `None` for a new job.
    pub(super) base: Option<Arc<Log>>,
    pub(super) batch: Batch,
    pub(super) log: Log,
    pub(super) job: Arc<Job>,
}

impl Transaction {
    /// The events to store: all of them or none.
    pub const fn batch(&self) -> &Batch {
        &self.batch
    }

    /// The job as the screens see it once this is committed.
    pub const fn job(&self) -> &Arc<Job> {
        &self.job
    }
}

/// What the screens see after a commit.
#[derive(Clone, Debug)]
pub struct Committed {
    /// The job.
    pub job: Arc<Job>,
    /// Events that conflict with others of the same id.
    pub quarantined: Vec<QuarantinedRecord>,
}

/// A new plan that a command requires.
pub(super) struct PlanDue {
    pub(super) reason: Reason,
    pub(super) catalog: Arc<Catalog>,
}

/// A command with drafted events, before its plan is made.
pub(super) struct Draft {
    pub(super) base: Option<Arc<Log>>,
    pub(super) log: Log,
    pub(super) events: Vec<Event>,
    /// The fold of the log with the events.
    pub(super) job: Arc<Job>,
    pub(super) at: Stamp,
    pub(super) due: Option<PlanDue>,
}

impl Draft {
    /// Appends an entry to the log only: the job is folded once, after the last entry.
    pub(super) fn push(&mut self, entry: EventKind) -> Result<(), CommandError> {
        let event = self.log.draft(self.at, entry);
        self.log.append(event.clone())?;
        self.events.push(event);
        Ok(())
    }

    pub(super) fn refold(&mut self) {
        self.job = Arc::new(fold(&self.log));
    }

    /// Makes the plan that is due.
    pub(super) async fn finish(
        mut self,
        handler: &mut dyn ProgressHandler,
    ) -> Result<Transaction, CommandError> {
        if let Some(PlanDue { reason, catalog }) = self.due.take() {
            let plan = planning::replan(&self.job, &catalog, &self.at, handler).await;
            let plan = plan.map_err(CommandError::NoPlan)?;
            self.push(EventKind::Planned {
                plan,
                because: reason,
            })?;
            self.refold();
        }
        Ok(Transaction {
            base: self.base,
            batch: Batch {
                job: self.log.job().clone(),
                events: self.events,
            },
            log: self.log,
            job: self.job,
        })
    }
}
