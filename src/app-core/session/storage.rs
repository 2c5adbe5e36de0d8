//! The interface to event storage: a browser, or memory in tests.

use std::fmt;

use lidoff_catalog::format::Text;
use lidoff_i18n::tr;
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, JobId, Log};

/// The events of one command: stored together or not at all.
#[derive(Clone, Debug, PartialEq)]
pub struct Batch {
    /// The job.
    pub job: JobId,
    /// The events, in order; never empty.
    pub events: Vec<Event>,
}

impl Batch {
    /// Each event as a record: its key within the job, and its text.
    pub fn records(&self) -> impl Iterator<Item = (String, String)> + '_ {
        self.events
            .iter()
            .map(|event| (record_key(event.id), json(event)))
    }
}

/// The result of storing a batch.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stored {
    /// A warning for the technician: not every copy could be written.
    pub warning: Option<Text>,
}

/// Why a batch was not stored. None of its events is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StorageError {
    /// A different event is stored under the key of one of the batch: something that this
    /// session does not know of wrote to the job.
    Clash {
        /// The key in conflict.
        key: String,
    },
    /// The storage failed: why, and what to do.
    Failed(Text),
}

impl fmt::Display for StorageError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Clash { key } => f.write_str(&tr!(
                "Not saved: this job already has another entry {key}. Nothing was overwritten. \
                 The job was read again: check the screen, then enter it again.",
                key
            )),
            Self::Failed(why) => f.write_str(why),
        }
    }
}

impl std::error::Error for StorageError {}

/// Storage for events.
pub trait EventSink {
    /// Stores all events of the batch, or none. Nothing is ever overwritten; a batch that
    /// is already stored with the same text counts as stored.
    ///
    /// # Errors
    /// When nothing of the batch is stored.
    fn append(&self, batch: &Batch) -> impl Future<Output = Result<Stored, StorageError>>;

    /// The job as it is stored.
    ///
    /// # Errors
    /// When it cannot be read.
    fn load(&self, job: &JobId) -> impl Future<Output = Result<Log, StorageError>>;
}
