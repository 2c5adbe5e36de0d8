//! Storage in memory, every write of which can be made to fail once.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;

use lidoff_job::{JobId, Log};

use lidoff_app_core::session::{Batch, EventSink, StorageError, Stored};

/// The write that fails, counted within a batch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The write of this event, from 0. What was written before it is taken back.
    Write(usize),
    /// The commit, after every write.
    Commit,
    /// The answer: everything is stored, and the app hears that it is not.
    Answer,
}

/// Storage in memory.
#[derive(Debug, Default)]
pub struct MemorySink {
    records: RefCell<BTreeMap<(JobId, String), String>>,
    fault: Cell<Option<Fault>>,
}

impl MemorySink {
    /// Makes the next batch fail, once. A write beyond its end does not.
    pub fn fail_once(&self, fault: Fault) {
        self.fault.set(Some(fault));
    }

    /// Whether the fault that was asked for is still to come.
    pub fn is_armed(&self) -> bool {
        self.fault.get().is_some()
    }

    /// Every record: job, key and text, in the order of the keys.
    pub fn records(&self) -> Vec<(JobId, String, String)> {
        let record = |((job, key), text): (&(JobId, String), &String)| {
            (job.clone(), key.clone(), text.clone())
        };
        self.records.borrow().iter().map(record).collect()
    }

    /// Writes a record behind the app's back.
    pub fn put(&self, job: &JobId, key: &str, text: &str) {
        let mut records = self.records.borrow_mut();
        records.insert((job.clone(), key.to_owned()), text.to_owned());
    }

    /// Removes the records of a job behind the app's back.
    pub fn remove(&self, job: &JobId) {
        self.records.borrow_mut().retain(|(of, _), _| of != job);
    }

    /// Every job that is stored, as a new run of the app reads it.
    pub fn logs(&self) -> Vec<Log> {
        let records = self.records.borrow();
        let mut jobs: Vec<JobId> = records.keys().map(|(job, _)| job.clone()).collect();
        jobs.dedup();
        drop(records);
        jobs.iter().map(|job| self.log(job)).collect()
    }

    fn log(&self, job: &JobId) -> Log {
        let records = self.records.borrow();
        let of_job = records.iter().filter(|((of, _), _)| of == job);
        let of_job = of_job.map(|((_, key), text)| (key, text));
        Log::from_records(job.clone(), of_job).0
    }

    /// Whether this write fails now.
    fn fails(&self, at: Fault) -> bool {
        let fails = self.fault.get() == Some(at);
        if fails {
            self.fault.set(None);
        }
        fails
    }
}

impl EventSink for MemorySink {
    async fn append(&self, batch: &Batch) -> Result<Stored, StorageError> {
        let failed = || StorageError::Failed("the storage failed".to_owned());
        let mut staged = self.records.borrow().clone();
        for (nth, (key, text)) in batch.records().enumerate() {
            if self.fails(Fault::Write(nth)) {
                return Err(failed());
            }
            let place = (batch.job.clone(), key.clone());
            match staged.get(&place) {
                Some(known) if *known != text => return Err(StorageError::Clash { key }),
                _ => staged.insert(place, text),
            };
        }
        if self.fails(Fault::Commit) {
            return Err(failed());
        }
        self.records.replace(staged);
        if self.fails(Fault::Answer) {
            return Err(failed());
        }
        Ok(Stored::default())
    }

    async fn load(&self, job: &JobId) -> Result<Log, StorageError> {
        Ok(self.log(job))
    }
}
