//! One command from tap to screen: handled, stored, committed.

use std::cell::RefCell;
use std::sync::Arc;

use lidoff_catalog::format::Text;
use lidoff_job::{Job, JobId, QuarantinedRecord, Stamp};
use lidoff_planner::progress::ProgressHandler;

use super::command::{Command, CommandError, Unchanged};
use super::replanned::Replanned;
use super::session::Session;
use super::storage::{EventSink, StorageError};
use super::transaction::Outcome;

/// A command was carried out.
#[derive(Clone, Debug)]
pub enum Executed {
    /// Its events are stored, and the session has them.
    Stored {
        /// The job.
        id: JobId,
        /// Its new state.
        job: Arc<Job>,
        /// A storage warning for the technician.
        warning: Option<Text>,
        /// What its new plan changes, if it made one.
        replanned: Option<Replanned>,
        /// Why there is no plan for what was found; decisions that came with it are not
        /// stored.
        unplanned: Option<CommandError>,
        /// Events that conflict with others of the same id.
        quarantined: Vec<QuarantinedRecord>,
    },
    /// The job was already as requested.
    Unchanged(Unchanged),
}

/// Handles a command, stores its events and commits them.
///
/// # Errors
/// Why it was not carried out. Nothing of it is stored then, and the session is
/// as it was; after a clash it has the job as it is stored.
pub async fn execute(
    session: &RefCell<Session>,
    sink: &impl EventSink,
    command: Command,
    at: Stamp,
    handler: &mut dyn ProgressHandler,
) -> Result<Executed, CommandError> {
    let handling = session.borrow().handle_async(command, at, handler);
    let transaction = match handling.await? {
        Outcome::Append(transaction) => transaction,
        Outcome::Unchanged(why) => return Ok(Executed::Unchanged(why)),
    };
    let id = transaction.batch().job.clone();
    let stored = match sink.append(transaction.batch()).await {
        Ok(stored) => stored,
        Err(error) => {
            if matches!(error, StorageError::Clash { .. }) {
                let stored = sink.load(&id).await?;
                session.borrow_mut().merge(stored, &at);
            }
            return Err(error.into());
        }
    };
    let replanned = transaction.replanned().cloned();
    let unplanned = transaction.unplanned().cloned();
    let committed = session.borrow_mut().commit(transaction);
    Ok(Executed::Stored {
        id,
        job: committed.job,
        warning: stored.warning,
        quarantined: committed.quarantined,
        replanned,
        unplanned,
    })
}
