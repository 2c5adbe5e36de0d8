//! Finished jobs, each compressed into one record, so that a start need not read them.

use js_sys::Array;
use wasm_bindgen::JsValue;
use web_sys::IdbTransaction;

use lidoff_i18n::tr;
use lidoff_job::JobId;

use super::schema::{ARCHIVE, EVENTS, event_key};
use super::transaction::Access;
use super::{Journal, JournalError};
use crate::service::gzip;
use crate::service::store::Record;

/// One line for each record: key, tab, text.
fn lines(records: &[Record]) -> String {
    let line = |record: &Record| format!("{}\t{}", record.key, record.text);
    records.iter().map(line).collect::<Vec<_>>().join("\n")
}

fn records_of(job: &JobId, lines: &str) -> Vec<Record> {
    let pairs = lines.lines().filter_map(|line| line.split_once('\t'));
    let record = |(key, text): (&str, &str)| Record {
        job: job.clone(),
        key: key.to_owned(),
        text: text.to_owned(),
    };
    pairs.map(record).collect()
}

impl Journal {
    /// The jobs that are archived, whole or in part.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(in crate::service) async fn archived(&self) -> Result<Vec<JobId>, JournalError> {
        let read = |transaction: &IdbTransaction| transaction.object_store(ARCHIVE)?.get_all_keys();
        let keys = self.0.run(Access::Read, Box::new(read)).await?.result()?;
        let job = |key: JsValue| JobId(key.as_string().unwrap_or_default());
        Ok(Array::from(&keys).iter().map(job).collect())
    }

    /// The archived records of a job; none if it is not archived.
    ///
    /// # Errors
    /// When they cannot be read.
    pub(in crate::service) async fn load_archived(
        &self,
        job: &JobId,
    ) -> Result<Vec<Record>, JournalError> {
        let key = JsValue::from(job.as_str());
        let read = move |transaction: &IdbTransaction| transaction.object_store(ARCHIVE)?.get(&key);
        let value = self.0.run(Access::Read, Box::new(read)).await?.result()?;
        if value.is_undefined() {
            return Ok(Vec::new());
        }
        Ok(records_of(job, &gzip::decompress(&value).await?))
    }

    /// Moves the records of a finished job to the archive. They are removed from the events
    /// only when the archive was read again and held all of them.
    ///
    /// # Errors
    /// When the journal fails, or this browser cannot compress: then nothing is removed.
    pub(in crate::service) async fn archive(&self, job: &JobId) -> Result<(), JournalError> {
        let records = self.load(job).await?;
        let compressed = gzip::compress(&lines(&records)).await?;
        if records_of(job, &gzip::decompress(&compressed).await?) != records {
            // A text with a line break, from another program: it stays as it is.
            return Ok(());
        }
        let key = JsValue::from(job.as_str());
        let write = move |transaction: &IdbTransaction| {
            let archive = transaction.object_store(ARCHIVE)?;
            archive.put_with_key(&compressed, &key).map(drop)
        };
        self.write(Access::WriteToDevice, write).await?;
        if self.load_archived(job).await? != records {
            return Err(JournalError::Other(tr!("it did not keep what was written")));
        }
        let remove = move |transaction: &IdbTransaction| {
            let events = transaction.object_store(EVENTS)?;
            let mut records = records.iter();
            // One by one: what was added meanwhile stays.
            records.try_for_each(|one| events.delete(&event_key(&one.job, &one.key)).map(drop))
        };
        self.write(Access::WriteToDevice, remove).await
    }
}
