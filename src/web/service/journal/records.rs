//! Records of events.

use js_sys::Array;
use wasm_bindgen::JsValue;
use web_sys::{IdbKeyRange, IdbTransaction};

use lidoff_job::JobId;

use super::schema::{
    ARCHIVE, CATALOGS, EVENTS, QUARANTINE, REMOVED, event_key, quarantine_key, range_of, word,
};
use super::transaction::Access;
use super::{Journal, JournalError};
use crate::service::quarantine::Note;
use crate::service::store::Record;

fn note_removed(transaction: &IdbTransaction, job: &JobId, at_ms: i64) -> Result<(), JsValue> {
    let removed = transaction.object_store(REMOVED)?;
    removed
        .put_with_key(&at_ms.to_string().into(), &job.as_str().into())
        .map(drop)
}

impl Journal {
    /// Writes an event's record.
    pub fn append(
        &self,
        job: &JobId,
        key: &str,
        text: &str,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.append_many(vec![Record {
            job: job.clone(),
            key: key.to_owned(),
            text: text.to_owned(),
        }])
    }

    /// Writes records, all or none, and overwrites existing ones.
    pub fn append_many(
        &self,
        records: Vec<Record>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.write(Access::Write, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            for record in &records {
                let key = event_key(&record.job, &record.key);
                events.put_with_key(&record.text.as_str().into(), &key)?;
            }
            Ok(())
        })
    }

    /// Adds new records, all or none, and flushes them to disk. Nothing is overwritten;
    /// records that are already stored with the same text count as written.
    pub fn add_many(
        &self,
        records: Vec<Record>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.add(records, None)
    }

    /// As [`add_many`](Self::add_many), for what a file holds. What this device does not take
    /// is set aside: key and note. A job that was removed counts as removed no longer.
    pub(in crate::service) fn take_in(
        &self,
        job: &JobId,
        records: Vec<Record>,
        aside: Vec<(String, Note)>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.add(records, Some((job.clone(), aside)))
    }

    fn add(
        &self,
        records: Vec<Record>,
        taken_in: Option<(JobId, Vec<(String, Note)>)>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        let rows = records.clone();
        let adding = self.write(Access::WriteToDevice, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            for record in &rows {
                let key = event_key(&record.job, &record.key);
                events.add_with_key(&record.text.as_str().into(), &key)?;
            }
            if let Some((job, aside)) = &taken_in {
                let quarantine = transaction.object_store(QUARANTINE)?;
                for (key, note) in aside {
                    let to = quarantine_key(job, key, note.at_ms);
                    quarantine.put_with_key(&note.to_json().into(), &to)?;
                }
                let removed = transaction.object_store(REMOVED)?;
                removed.delete(&job.as_str().into())?;
            }
            Ok(())
        });
        let journal = self.clone();
        async move {
            match adding.await {
                Err(JournalError::Taken(_)) => match journal.clash(&records).await? {
                    Some(key) => Err(JournalError::Taken(key)),
                    // The connection was lost after these records were written, and
                    // before that was reported.
                    None => Ok(()),
                },
                ended => ended,
            }
        }
    }

    /// Removes jobs with their unreadable records, all or none, and flushes that to disk.
    /// They are noted as removed, so that no copy of them comes back.
    ///
    /// # Errors
    /// When nothing is removed.
    pub(in crate::service) async fn remove_jobs(
        &self,
        jobs: Vec<JobId>,
        at_ms: i64,
    ) -> Result<(), JournalError> {
        let work = move |transaction: &IdbTransaction| {
            for job in &jobs {
                for store in [EVENTS, QUARANTINE] {
                    transaction
                        .object_store(store)?
                        .delete(&range_of(job)?.into())?;
                }
                let archive = transaction.object_store(ARCHIVE)?;
                archive.delete(&job.as_str().into())?;
                note_removed(transaction, job, at_ms)?;
            }
            Ok(())
        };
        self.write(Access::WriteToDevice, work).await
    }

    /// Removes everything, all or none, and flushes that to disk. These jobs are noted as
    /// removed.
    ///
    /// # Errors
    /// When nothing is removed.
    pub(in crate::service) async fn clear(
        &self,
        noted: Vec<JobId>,
        at_ms: i64,
    ) -> Result<(), JournalError> {
        let work = move |transaction: &IdbTransaction| {
            for store in [EVENTS, QUARANTINE, CATALOGS, ARCHIVE] {
                transaction.object_store(store)?.clear()?;
            }
            let mut noted = noted.iter();
            noted.try_for_each(|job| note_removed(transaction, job, at_ms))
        };
        self.write(Access::WriteToDevice, work).await
    }

    /// The jobs that are noted as removed, each with when that was, by the wall clock, ms.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(in crate::service) async fn removed(&self) -> Result<Vec<(JobId, i64)>, JournalError> {
        let rows = self.rows(REMOVED, None).await?;
        let job = |(key, at_ms): (JsValue, String)| {
            let job = JobId(key.as_string().unwrap_or_default());
            (job, at_ms.parse().unwrap_or_default())
        };
        Ok(rows.into_iter().map(job).collect())
    }

    /// Notes no longer that these jobs were removed.
    ///
    /// # Errors
    /// When they are still noted.
    pub(in crate::service) async fn forget_removed(
        &self,
        jobs: Vec<JobId>,
    ) -> Result<(), JournalError> {
        let work = move |transaction: &IdbTransaction| {
            let removed = transaction.object_store(REMOVED)?;
            let mut jobs = jobs.iter();
            jobs.try_for_each(|job| removed.delete(&job.as_str().into()).map(drop))
        };
        self.write(Access::Write, work).await
    }

    /// The key of the record that prevented adding these records; `None` if the journal
    /// holds all of them with the same text.
    async fn clash(&self, records: &[Record]) -> Result<Option<String>, JournalError> {
        let Some(first) = records.first() else {
            return Ok(None);
        };
        let held = self.load(&first.job).await?;
        if records.iter().all(|record| held.contains(record)) {
            return Ok(None);
        }
        let is_taken = |record: &&Record| {
            let mut held = held.iter();
            held.any(|known| known.key == record.key && known.text != record.text)
        };
        let taken = records.iter().find(is_taken).unwrap_or(first);
        Ok(Some(taken.key.clone()))
    }

    /// Every record of every job, without the archived ones, in the order of job and event.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn load_all(&self) -> Result<Vec<Record>, JournalError> {
        self.records(None).await
    }

    /// Every record of a job.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn load(&self, job: &JobId) -> Result<Vec<Record>, JournalError> {
        let mut all = self.records(Some(range_of(job)?)).await?;
        self.add_archived(job, &mut all).await?;
        Ok(all)
    }

    /// Adds the archived records of a job that are not among these.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(in crate::service) async fn add_archived(
        &self,
        job: &JobId,
        records: &mut Vec<Record>,
    ) -> Result<(), JournalError> {
        let mut archived = self.load_archived(job).await?;
        archived.retain(|one| !records.contains(one));
        // What was added after a job was archived is later.
        archived.append(records);
        *records = archived;
        Ok(())
    }

    /// Removes one record of a job.
    ///
    /// # Errors
    /// When it is not removed.
    pub(in crate::service) async fn remove(
        &self,
        job: &JobId,
        key: &str,
    ) -> Result<(), JournalError> {
        self.delete(event_key(job, key)).await
    }

    /// Removes every record of a job. It is not noted: another copy may bring it back.
    ///
    /// # Errors
    /// When they are not removed.
    pub async fn forget(&self, job: &JobId) -> Result<(), JournalError> {
        self.delete(range_of(job)?.into()).await
    }

    /// Removes the records with this key, or with the keys in this range.
    async fn delete(&self, keys: JsValue) -> Result<(), JournalError> {
        self.write(Access::Write, move |transaction| {
            transaction.object_store(EVENTS)?.delete(&keys).map(drop)
        })
        .await
    }

    async fn records(&self, range: Option<IdbKeyRange>) -> Result<Vec<Record>, JournalError> {
        let rows = self.rows(EVENTS, range).await?;
        let record = |(key, text): (JsValue, String)| {
            let key = Array::from(&key);
            Record {
                job: JobId(word(&key, 0)),
                key: word(&key, 1),
                text,
            }
        };
        Ok(rows.into_iter().map(record).collect())
    }
}
