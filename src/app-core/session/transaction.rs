//! A command that is ready to be stored, and how a session applies it after that.

use std::sync::Arc;

use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::tr;
use lidoff_job::{
    Event, EventKind, Job, Log, PlanSnapshot, QuarantinedRecord, Reason, Stamp, fold,
};
use lidoff_planner::progress::ProgressHandler;

use super::command::{CommandError, Unchanged};
use super::storage::Batch;
use crate::display::format_duration;
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
    pub(super) replanned: Option<Replanned>,
    pub(super) unplanned: Option<CommandError>,
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

    /// Why there is no plan for what was found. It is stored nevertheless, without the
    /// decisions that came with it; the old plan stays and is stale.
    pub const fn unplanned(&self) -> Option<&CommandError> {
        self.unplanned.as_ref()
    }

    /// What the new plan changes, if there is one.
    pub const fn replanned(&self) -> Option<&Replanned> {
        self.replanned.as_ref()
    }
}

/// What the screens see after a commit.
#[derive(Clone, Debug)]
pub struct Committed {
    /// The job.
    pub job: Arc<Job>,
    /// Events that conflict with others of the same id.
    pub set_aside: Vec<QuarantinedRecord>,
}

/// A new plan of a job, compared with the remaining steps of the old one.
#[derive(Clone, Debug, PartialEq)]
pub struct Replanned {
    /// Why it was made.
    pub because: Reason,
    /// Steps and planned time left, s, by the old plan.
    pub before: (usize, f64),
    /// The same by the new one.
    pub after: (usize, f64),
    /// Whether its steps are others, or come in another order.
    pub is_other: bool,
}

impl Replanned {
    fn new(job: &Job, plan: &PlanSnapshot, because: Reason) -> Self {
        let before = job.remaining.iter().map(|step| &step.step);
        Self {
            because,
            before: (job.remaining.len(), job.left_s()),
            after: (plan.steps.len(), plan.total_s),
            is_other: before.ne(plan.steps.iter().map(|step| &step.step)),
        }
    }

    /// What changes, where the screen does not show it by itself.
    pub fn describe(&self) -> Option<Text> {
        let (steps_before, before_s) = self.before;
        let (steps, after_s) = self.after;
        match self.because {
            Reason::VerifyIsolation => Some(tr!(
                "The work was interrupted for long: verify the isolation before you go on."
            )),
            Reason::Answered | Reason::EntryUndone if self.is_other => {
                let (before, now) = (format_duration(before_s), format_duration(after_s));
                Some(tr!(
                    "The plan has changed: about {now} left instead of {before}, {steps} steps instead of {steps_before}.",
                    now,
                    before,
                    steps,
                    steps_before
                ))
            }
            _ => None,
        }
    }
}

/// A new plan that a command requires.
pub(super) struct PlanDue {
    pub(super) reason: Reason,
    /// The catalog, or why there can be no plan.
    pub(super) catalog: Result<Arc<Catalog>, CommandError>,
    pub(super) if_refused: IfRefused,
}

/// What becomes of a command if there is no plan for it.
pub(super) enum IfRefused {
    /// It is refused.
    Refuse,
    /// It is stored, and the plan is stale.
    Store,
    /// This part of it is stored: what was found, without the decisions.
    StoreFound(Box<Draft>),
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
        let (mut replanned, mut unplanned) = (None, None);
        if let Some(due) = self.due.take() {
            let plan = match due.catalog {
                Ok(catalog) => planning::replan(&self.job, &catalog, &self.at, handler)
                    .await
                    .map_err(CommandError::NoPlan),
                Err(why) => Err(why),
            };
            match (plan, due.if_refused) {
                (Ok(plan), _) => {
                    let because = due.reason;
                    replanned = Some(Replanned::new(&self.job, &plan, because.clone()));
                    self.push(EventKind::Planned { plan, because })?;
                    self.refold();
                }
                (Err(why), IfRefused::Refuse) => return Err(why),
                (Err(why), IfRefused::Store) => unplanned = Some(why),
                (Err(why), IfRefused::StoreFound(found)) => {
                    let mut found = Box::pin(found.finish(handler)).await?;
                    found.unplanned = Some(why);
                    return Ok(found);
                }
            }
        }
        Ok(Transaction {
            replanned: replanned.filter(|_| self.base.is_some()),
            unplanned,
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
