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

use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;

use wasm_bindgen_futures::spawn_local;

use super::journal::{Journal, JournalError};
use super::quarantine::{Note, Place, UnreadableRecord};
use super::reconcile::reconcile;
pub use super::recovery::Started;
use super::recovery::in_progress;
use super::store::{self, Record, StoreError, Written};
use super::tabs::{self, Role};
use super::{browser, clock, gzip, recovery, scheduler};
use lidoff_app_core::session::{Batch, EventSink, StorageError, Stored};
use lidoff_catalog::format::Text;
use lidoff_i18n::{number, tr};
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, JobId, Log, QuarantinedRecord};

/// The event store; clones share one journal.
#[derive(Clone)]
pub struct EventStore {
    journal: Journal,
    role: Role,
    /// Records in local storage that the journal did not take in time.
    late: Rc<RefCell<Vec<Record>>>,
}

/// How often records are offered to a journal that does not answer, ms.
const CATCH_UP_MS: i32 = 2_000;

/// What was taken in from a file.
#[derive(Debug)]
pub struct TakenIn {
    /// Where it is stored.
    pub saved: Saved,
    /// The job, as it is now.
    pub log: Log,
    /// How many of its events are new to this device.
    pub new: usize,
    /// What was set aside.
    pub set_aside: Vec<UnreadableRecord>,
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
    /// Nothing was taken in from a file: why.
    NothingAdded(String),
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
            Self::NothingAdded(why) => f.write_str(&tr!("Nothing was added. {why}", why)),
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
                " {used} MB used, {left} MB left.",
                used = number(used / MB, 1),
                left = number((quota - used).max(0.0) / MB, 0)
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
        let late = Rc::default();
        let event_store = Self {
            journal,
            role,
            late,
        };
        (event_store, started)
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
        let records = record_of_each(&job, &batch.events);
        let begun = if self.role == Role::Reader {
            Err(RecordError::Reading)
        } else {
            match store::add_all(&records) {
                Err(StoreError::Taken(key)) => Err(RecordError::Taken(key)),
                store => Ok((store, self.journal.add_many(records.clone()))),
            }
        };
        let event_store = self.clone();
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
                (Ok(_), Err(why)) => {
                    if why == JournalError::Silent {
                        event_store.write_later(records);
                    }
                    Saved::StoreOnly(why)
                }
                (Err(store), Err(journal)) => {
                    return Err(RecordError::Neither { store, journal });
                }
            };
            tabs::announce(&job);
            Ok(saved)
        }
    }

    /// Writes records to the journal as soon as it answers again. Those that are not written
    /// when the app ends are found in local storage at the next start.
    fn write_later(&self, records: Vec<Record>) {
        let is_waiting = !self.late.borrow().is_empty();
        self.late.borrow_mut().extend(records);
        if is_waiting {
            return;
        }
        let (late, journal) = (Rc::clone(&self.late), self.journal.clone());
        spawn_local(async move {
            loop {
                browser::pass(CATCH_UP_MS).await;
                let records = late.borrow().clone();
                match journal.add_many(records.clone()).await {
                    Err(JournalError::Silent) => continue,
                    // The next start writes what is missing, and tells what clashes.
                    Ok(()) | Err(_) => late.borrow_mut().retain(|one| !records.contains(one)),
                }
                if late.borrow().is_empty() {
                    return;
                }
            }
        });
    }

    /// Takes in a job from a file, with what could not be read of it: what this device
    /// lacks, all or none. What it has itself stays; what clashes with it is set aside. A
    /// finished job goes to the journal only.
    ///
    /// # Errors
    /// When nothing was taken in.
    pub async fn take_in(
        &self,
        log: Log,
        unreadable: Vec<QuarantinedRecord>,
    ) -> Result<TakenIn, RecordError> {
        if self.role == Role::Reader {
            return Err(RecordError::Reading);
        }
        let job = log.job().clone();
        let not_read = |error: StoreWriteError| RecordError::NothingAdded(error.to_string());
        let mut all = self.load(&job).await.map_err(not_read)?;
        let (new, clashes) = all.take_in(log);
        let at_ms = clock::now().wall_ms;
        let note = |refused: &QuarantinedRecord| Note {
            text: refused.text.clone(),
            why: refused.why.clone(),
            at_ms,
        };
        let aside = unreadable.iter().chain(&clashes);
        let aside: Vec<_> = aside.map(|one| (one.key.clone(), note(one))).collect();
        let records = record_of_each(&job, &new);
        let written = if in_progress(&all) {
            store::add_all(&records)
        } else {
            Ok(Written::default())
        };
        let (store, written) = match written {
            Err(StoreError::Taken(key)) => return Err(RecordError::Taken(key)),
            Err(why) => (Err(why), None),
            Ok(written) => (Ok(()), Some(written)),
        };
        let journal = self.journal.take_in(&job, records.clone(), aside.clone());
        let saved = match (journal.await, store) {
            (Ok(()), Ok(())) => Saved::Safely,
            (Ok(()), Err(why)) => Saved::JournalOnly(why),
            // This browser has no journal, so nothing is noted there as removed.
            (Err(why @ JournalError::Denied(_)), Ok(())) => {
                let all_there = store::add_all(&records).map(drop);
                let aside = aside.iter();
                let mut aside = aside.map(|(key, note)| store::set_aside(&job, key, note));
                let ended = all_there.and_then(|()| aside.try_for_each(|one| one.map(drop)));
                ended.map_err(|why| RecordError::NothingAdded(why.to_string()))?;
                Saved::StoreOnly(why)
            }
            (Err(why), _) => {
                if let Some(written) = written {
                    // What stayed there would be taken for an event of this device.
                    let back = written.take_back();
                    back.map_err(|error| RecordError::NothingAdded(error.to_string()))?;
                }
                return Err(RecordError::NothingAdded(why.to_string()));
            }
        };
        tabs::announce(&job);
        let set_aside = aside.into_iter().map(|(key, note)| UnreadableRecord {
            place: Place::Journal(at_ms),
            restored: all.records().any(|(known, _)| known == key),
            job: job.clone(),
            key,
            note,
        });
        Ok(TakenIn {
            saved,
            new: new.len(),
            set_aside: set_aside.collect(),
            log: all,
        })
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

    /// Archives finished jobs, one after the other, in the background of the screens.
    ///
    /// # Errors
    /// When the journal fails; what was archived by then is.
    pub async fn archive(&self, jobs: Vec<JobId>) -> Result<(), JournalError> {
        for job in jobs.into_iter().filter(|_| gzip::is_available()) {
            scheduler::turn().await;
            self.journal.archive(&job).await?;
        }
        Ok(())
    }

    /// All archived jobs, and why some of them could not be read.
    pub async fn load_archive(&self) -> (Vec<Log>, Vec<Text>) {
        let (mut logs, mut troubles) = (Vec::new(), Vec::new());
        let archived = self.journal.archived().await.unwrap_or_else(|error| {
            troubles.push(error.to_string());
            Vec::new()
        });
        for job in archived {
            scheduler::turn().await;
            match self.load(&job).await {
                Ok(log) => logs.push(log),
                Err(error) => troubles.push(tr!("Job {job}: {error}", job, error)),
            }
        }
        (logs, troubles)
    }

    /// Removes a job with its unreadable records and its photos. It is removed once the
    /// journal says so; what could not be removed elsewhere is returned as sentences, and
    /// removed at the next start.
    ///
    /// # Errors
    /// When nothing of it is removed.
    pub async fn forget(&self, job: &JobId) -> Result<Vec<Text>, StoreWriteError> {
        self.remove_jobs(vec![job.clone()], false).await
    }

    /// Removes everything: these jobs, every photo, the catalogs that were added, the
    /// preferences. As [`forget`](Self::forget).
    ///
    /// # Errors
    /// When nothing is removed.
    pub async fn forget_everything(&self, jobs: Vec<JobId>) -> Result<Vec<Text>, StoreWriteError> {
        self.remove_jobs(jobs, true).await
    }

    async fn remove_jobs(
        &self,
        mut jobs: Vec<JobId>,
        everything: bool,
    ) -> Result<Vec<Text>, StoreWriteError> {
        if self.role == Role::Reader {
            return Err(StoreWriteError::Reading);
        }
        let at_ms = clock::now().wall_ms;
        let removed = if everything {
            jobs.push(JobId(recovery::EVERYTHING.to_owned()));
            self.journal.clear(jobs.clone(), at_ms).await
        } else {
            self.journal.remove_jobs(jobs.clone(), at_ms).await
        };
        match removed {
            // A browser without a journal has everything in local storage.
            Ok(()) | Err(JournalError::Denied(_)) => {}
            Err(why) => return Err(why.into()),
        }
        self.late
            .borrow_mut()
            .retain(|one| !everything && !jobs.contains(&one.job));
        let troubles = recovery::finish_removals(&jobs).await;
        jobs.iter().for_each(tabs::announce);
        Ok(troubles)
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

fn record_of_each(job: &JobId, events: &[Event]) -> Vec<Record> {
    let record = |event: &Event| Record {
        job: job.clone(),
        key: record_key(event.id),
        text: json(event),
    };
    events.iter().map(record).collect()
}
