//! Unreadable records: moved out of the way, kept for the user to save or remove.

use js_sys::Array;
use wasm_bindgen::JsValue;

use lidoff_job::JobId;

use super::schema::{EVENTS, QUARANTINE, event_key, quarantine_key, word};
use super::transaction::Access;
use super::{Journal, JournalError};
use crate::service::quarantine::Note;

impl Journal {
    /// Moves records to quarantine, all or none: job, key and note.
    pub(in crate::service) async fn quarantine(
        &self,
        bad: Vec<(JobId, String, Note)>,
    ) -> Result<(), JournalError> {
        self.write(Access::Write, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            let quarantine = transaction.object_store(QUARANTINE)?;
            for (job, key, note) in &bad {
                let to = quarantine_key(job, key, note.at_ms);
                quarantine.put_with_key(&note.to_json().into(), &to)?;
                events.delete(&event_key(job, key))?;
            }
            Ok(())
        })
        .await
    }

    /// All quarantined records: job, key, time and note.
    pub(in crate::service) async fn unreadable_records(
        &self,
    ) -> Result<Vec<(JobId, String, i64, Note)>, JournalError> {
        let rows = self.rows(QUARANTINE, None).await?;
        let unreadable = |(key, text): (JsValue, String)| {
            let key = Array::from(&key);
            let at_ms = key.get(2).as_f64().unwrap_or_default() as i64;
            let (job, event) = (word(&key, 0), word(&key, 1));
            (JobId(job), event, at_ms, Note::from_json(text))
        };
        Ok(rows.into_iter().map(unreadable).collect())
    }

    /// Removes a quarantined record.
    pub(in crate::service) async fn remove_quarantined(
        &self,
        job: &JobId,
        key: &str,
        at_ms: i64,
    ) -> Result<(), JournalError> {
        let key = quarantine_key(job, key, at_ms);
        self.write(Access::Write, move |transaction| {
            transaction.object_store(QUARANTINE)?.delete(&key).map(drop)
        })
        .await
    }
}
