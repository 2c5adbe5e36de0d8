//! Stores the logs: every event in two places. An event lost in one place is restored
//! from the other.
//!
//! A job in progress is in local storage and in the journal; a finished one only in the
//! journal. Stored data is never overwritten by less, and a finished job is removed
//! from local storage only after the journal was *read* and held all of it. A screen
//! moves on only when [`EventStore::append`] reports that the events of its command are
//! in at least one place. They are stored all or none: the journal takes them in one
//! transaction, and entries in local storage are removed again if the command is not to
//! count.

use std::fmt;

use super::journal::{Journal, JournalError};
use super::quarantine::{Place, UnreadableRecord};
use super::reconcile::reconcile;
pub use super::recovery::Started;
use super::recovery::in_progress;
use super::store::{self, Record, StoreError};
use super::tabs::{self, Role};
use super::{browser, heartbeat, recovery};
use lidoff_app_core::session::{Batch, EventSink, StorageError, Stored};
use lidoff_catalog::format::Text;
use lidoff_i18n::{number, tr};
use lidoff_job::{Event, JobId, Log};

/// The event store; clones share one journal.
#[derive(Clone)]
pub struct EventStore {
    journal: Journal,
    role: Role,
}

/// Where an event is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Saved {
    /// In every place where it should be.
    Safely,
    /// Not in the journal: it is lost if the browser is killed within the next minute.
    StoreOnly(JournalError),
    /// Not in local storage: nothing is lost.
    JournalOnly(StoreError),
}

impl Saved {
    /// The message for the technician, if there is one.
    pub fn banner(&self) -> Option<Text> {
        match self {
            Self::Safely => None,
            Self::StoreOnly(why) => Some(tr!(
                "Saved in one place only; if the browser crashes, your last minute could be lost. \
                 {why}",
                why
            )),
            Self::JournalOnly(why) => Some(tr!("Saved in one place only. {why}", why)),
        }
    }
}

/// Why nothing was saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum RecordError {
    /// Another tab writes.
    Reading,
    /// A different event is stored under this key in one of the places. Nothing was
    /// written.
    Taken(String),
    /// Neither place could store it.
    Neither {
        /// The error of local storage.
        store: StoreError,
        /// The error of the journal.
        journal: JournalError,
    },
}

impl fmt::Display for RecordError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Reading => f.write_str(&tr!(
                "Lidoff is open in another window; this one is read-only. Work there, or tap “Use this window”."
            )),
            Self::Taken(key) => StorageError::Clash { key: key.clone() }.fmt(f),
            Self::Neither { store, journal } => f.write_str(&tr!(
                "Not saved: your last entry did not count. {store} {journal}",
                store,
                journal
            )),
        }
    }
}

impl std::error::Error for RecordError {}

/// Why a job could not be removed or read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreWriteError {
    /// Another tab writes.
    Reading,
    /// Local storage failed.
    Store(StoreError),
    /// The journal failed.
    Journal(JournalError),
}

impl fmt::Display for StoreWriteError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Reading => RecordError::Reading.fmt(f),
            Self::Store(why) => why.fmt(f),
            Self::Journal(why) => why.fmt(f),
        }
    }
}

impl std::error::Error for StoreWriteError {}

impl From<StoreError> for StoreWriteError {
    fn from(error: StoreError) -> Self {
        Self::Store(error)
    }
}

impl From<JournalError> for StoreWriteError {
    fn from(error: JournalError) -> Self {
        Self::Journal(error)
    }
}

/// Whether the browser may delete the records when it runs out of space.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Persistence {
    /// Whether it promised not to; `None` if it cannot be asked.
    pub promised: Option<bool>,
    /// How much this address uses, bytes.
    pub used: Option<f64>,
    /// How much it may use, bytes.
    pub quota: Option<f64>,
}

impl fmt::Display for Persistence {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self.promised {
            Some(true) => tr!("This browser keeps the records until you remove them."),
            Some(false) => {
                tr!("This browser may delete the records when the device runs out of space. Add Lidoff to the home screen, and share finished jobs.")
            }
            None => tr!("This browser does not say whether it keeps the records. Share finished jobs."),
        })?;
        const MB: f64 = 1_000_000.0;
        if let (Some(used), Some(quota)) = (self.used, self.quota) {
            f.write_str(&tr!(
                " {used} MB of {quota} MB used.",
                used = number(used / MB, 1),
                quota = number(quota / MB, 0)
            ))?;
        }
        Ok(())
    }
}

impl EventStore {
    /// Loads everything and restores what a store lost; a reader only loads. Call it again
    /// when the role changes.
    pub async fn start(role: Role) -> (Self, Started) {
        Self::start_in(Journal::new(super::journal::NAME), role).await
    }

    /// As [`start`](Self::start), with another journal.
    pub async fn start_in(journal: Journal, role: Role) -> (Self, Started) {
        let started = recovery::start(&journal, role).await;
        (Self { journal, role }, started)
    }

    /// What this tab may do.
    pub const fn role(&self) -> Role {
        self.role
    }

    /// The journal.
    pub const fn journal(&self) -> &Journal {
        &self.journal
    }

    /// Writes an event, as [`append`](Self::append) does.
    ///
    /// # Errors
    /// When it is not written.
    pub fn record(
        &self,
        job: &JobId,
        event: &Event,
    ) -> impl Future<Output = Result<Saved, RecordError>> + use<> {
        self.append(&Batch {
            job: job.clone(),
            events: vec![event.clone()],
        })
    }

    /// Stores the events of a command, all or none: in local storage before this returns;
    /// in the journal, started before this returns and complete when the future is. Nothing
    /// is overwritten; events that are already stored with the same text count as written.
    ///
    /// # Errors
    /// When nothing was written. The screen must not move on then.
    pub fn append(
        &self,
        batch: &Batch,
    ) -> impl Future<Output = Result<Saved, RecordError>> + use<> {
        let job = batch.job.clone();
        let records: Vec<(String, String)> = batch.records().collect();
        let begun = if self.role == Role::Reader {
            Err(RecordError::Reading)
        } else {
            let records = of_job(&job, &records);
            match store::add_all(&records) {
                Err(StoreError::Taken(key)) => Err(RecordError::Taken(key)),
                store => Ok((store, self.journal.add_many(records))),
            }
        };
        async move {
            let (store, journal) = begun?;
            let saved = match (store, journal.await) {
                (Ok(_), Ok(())) => Saved::Safely,
                (Err(why), Ok(())) => Saved::JournalOnly(why),
                (store, Err(JournalError::Taken(key))) => {
                    if let Ok(written) = store {
                        // If it stayed there, it would be quarantined at the next start.
                        let _taken_back = written.take_back();
                    }
                    return Err(RecordError::Taken(key));
                }
                (Ok(_), Err(why)) => Saved::StoreOnly(why),
                (Err(store), Err(journal)) => {
                    return Err(RecordError::Neither { store, journal });
                }
            };
            tabs::announce(&job);
            Ok(saved)
        }
    }

    /// Merges a whole log from a file; existing events stay.
    ///
    /// # Errors
    /// When neither place took it.
    pub fn take_in(&self, log: &Log) -> impl Future<Output = Result<Saved, RecordError>> + use<> {
        let copies = if in_progress(log) {
            Copies::Both
        } else {
            Copies::JournalIfItCan
        };
        let job = log.job();
        let records: Vec<(String, String)> = log.records().collect();
        let reading = self.role == Role::Reader;
        let begun = (!reading).then(|| {
            let store = match copies {
                Copies::Both => put_all(job, &records),
                Copies::JournalIfItCan => Ok(()),
            };
            let rows = of_job(job, &records);
            (store, self.journal.append_many(rows))
        });
        let job = job.clone();
        async move {
            let Some((mut store, journal)) = begun else {
                return Err(RecordError::Reading);
            };
            let journal = journal.await;
            if journal.is_err() && copies == Copies::JournalIfItCan {
                store = put_all(&job, &records);
            }
            let saved = match (store, journal) {
                (Ok(()), Ok(())) => Saved::Safely,
                (Ok(()), Err(why)) => Saved::StoreOnly(why),
                (Err(why), Ok(())) => Saved::JournalOnly(why),
                (Err(store), Err(journal)) => return Err(RecordError::Neither { store, journal }),
            };
            tabs::announce(&job);
            Ok(saved)
        }
    }

    /// A job as stored in both places, for a tab that only reads.
    ///
    /// # Errors
    /// When neither place can be read.
    pub async fn load(&self, job: &JobId) -> Result<Log, StoreWriteError> {
        let in_journal = self.journal.load(job).await;
        let in_store = store::load(job);
        let (in_store, in_journal) = match (in_store, in_journal) {
            (Ok(store), Ok(journal)) => (store, journal),
            (Ok(store), Err(_)) if !store.is_empty() => (store, Vec::new()),
            (Err(_), Ok(journal)) => (Vec::new(), journal),
            (_, Err(error)) => return Err(error.into()),
        };
        let found = reconcile(in_store, in_journal, Vec::new())
            .into_iter()
            .next();
        Ok(found.map_or_else(|| Log::new(job.clone()), |it| it.log))
    }

    /// Removes a job and its quarantined records.
    ///
    /// # Errors
    /// When a part of it is still there.
    pub async fn forget(&self, job: &JobId) -> Result<(), StoreWriteError> {
        if self.role == Role::Reader {
            return Err(StoreWriteError::Reading);
        }
        for (of, key, at_ms, _) in self.journal.unreadable_records().await? {
            if of == *job {
                self.journal.remove_quarantined(&of, &key, at_ms).await?;
            }
        }
        self.journal.forget(job).await?;
        for (name, of, _, _) in store::unreadable_records()? {
            if of == *job {
                store::remove(&name)?;
            }
        }
        store::forget(job)?;
        heartbeat::forget(job)?;
        tabs::announce(job);
        Ok(())
    }

    /// Removes a quarantined record.
    ///
    /// # Errors
    /// When it is still there.
    pub async fn remove(&self, unreadable: &UnreadableRecord) -> Result<(), StoreWriteError> {
        match &unreadable.place {
            _ if self.role == Role::Reader => Err(StoreWriteError::Reading),
            Place::Store(name) => Ok(store::remove(name)?),
            Place::Journal(at_ms) => {
                let gone =
                    self.journal
                        .remove_quarantined(&unreadable.job, &unreadable.key, *at_ms);
                Ok(gone.await?)
            }
            Place::InPlace => Ok(()),
        }
    }

    /// Asks the browser not to delete the records.
    pub async fn persist(&self) -> Persistence {
        let manager = browser::of_navigator("storage");
        let mut persistence = Persistence {
            promised: None,
            used: None,
            quota: None,
        };
        let Some(manager) = manager else {
            return persistence;
        };
        if let Ok(asked) = browser::call(&manager, "persist", &[]) {
            let promised = browser::settle(asked).await;
            persistence.promised = promised.ok().and_then(|it| it.as_bool());
        }
        if let Ok(asked) = browser::call(&manager, "estimate", &[])
            && let Ok(estimate) = browser::settle(asked).await
        {
            let number = |name: &str| {
                let value = js_sys::Reflect::get(&estimate, &name.into());
                value.ok().and_then(|it| it.as_f64())
            };
            persistence.used = number("usage");
            persistence.quota = number("quota");
        }
        persistence
    }
}

impl EventSink for EventStore {
    async fn append(&self, batch: &Batch) -> Result<Stored, StorageError> {
        match Self::append(self, batch).await {
            Ok(saved) => Ok(Stored {
                warning: saved.banner(),
            }),
            Err(RecordError::Taken(key)) => Err(StorageError::Clash { key }),
            Err(why) => Err(StorageError::Failed(why.to_string())),
        }
    }

    async fn load(&self, job: &JobId) -> Result<Log, StorageError> {
        let loaded = Self::load(self, job).await;
        loaded.map_err(|why| StorageError::Failed(why.to_string()))
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Copies {
    /// Local storage and the journal.
    Both,
    /// The journal, and local storage only when that fails.
    JournalIfItCan,
}

fn put_all(job: &JobId, records: &[(String, String)]) -> Result<(), StoreError> {
    records
        .iter()
        .try_for_each(|(key, text)| store::put(job, key, text))
}

fn of_job(job: &JobId, records: &[(String, String)]) -> Vec<Record> {
    let record = |(key, text): &(String, String)| Record {
        job: job.clone(),
        key: key.clone(),
        text: text.clone(),
    };
    records.iter().map(record).collect()
}
