//! The journal: every event of every job, in IndexedDB, where it survives a
//! browser that is killed.
//!
//! Object store `events`: key `[job, event]`, value the event as JSON. `quarantine`:
//! key `[job, event, ms]`, unreadable records. `catalogs`: key the file name, value its
//! text. `removed`: key the job, value when it was removed. `archive`: key the job, value
//! its records, compressed. A write is started in the same tap that requests it, and is
//! done when its transaction is complete; a write that was reported as failed was not done.
//! If the connection was lost (another version of the app needs the database, or the system
//! closed it in the background), it is opened again once before a write is reported as
//! failed.

mod archive;
mod database;
mod error;
mod quarantined;
mod records;
mod schema;
mod texts;
mod transaction;

use js_sys::Array;
use wasm_bindgen::JsValue;
use web_sys::{IdbKeyRange, IdbObjectStore, IdbTransaction};

use database::Database;
pub use error::JournalError;
pub(super) use schema::CATALOGS;
use transaction::Access;

/// Name of the database.
pub const NAME: &str = "lidoff";

/// Timeout for an answer of the browser's database, ms.
const TIMEOUT_MS: i32 = 6_000;

/// The journal; clones share one connection.
#[derive(Clone)]
pub struct Journal(Database);

impl Journal {
    /// The journal with this name; [`NAME`] except in tests. It connects at the first
    /// access.
    pub fn new(name: &str) -> Self {
        Self::with_timeout(name, TIMEOUT_MS)
    }

    /// As [`new`](Self::new), for tests, with this timeout in ms.
    pub fn with_timeout(name: &str, timeout_ms: i32) -> Self {
        Self(Database::new(name, timeout_ms))
    }

    /// Closes the connection; the next access opens a new one.
    pub fn close(&self) {
        self.0.close();
    }

    /// Writes with this work, all or nothing. It is begun before this returns, if there is
    /// a connection.
    fn write<W>(
        &self,
        access: Access,
        work: W,
    ) -> impl Future<Output = Result<(), JournalError>> + use<W>
    where
        W: Fn(&IdbTransaction) -> Result<(), JsValue> + 'static,
    {
        self.0.run(access, Box::new(work))
    }

    /// Keys and texts of an object store, in the order of the keys.
    async fn rows(
        &self,
        store: &'static str,
        range: Option<IdbKeyRange>,
    ) -> Result<Vec<(JsValue, String)>, JournalError> {
        let range = range.map_or(JsValue::UNDEFINED, JsValue::from);
        // One transaction reads both.
        let read = move |transaction: &IdbTransaction| {
            let store: IdbObjectStore = transaction.object_store(store)?;
            let keys = store.get_all_keys_with_key(&range)?;
            Ok((keys, store.get_all_with_key(&range)?))
        };
        let (keys, texts) = self.0.run(Access::Read, Box::new(read)).await?;
        let (keys, texts) = (Array::from(&keys.result()?), Array::from(&texts.result()?));
        Ok(keys
            .iter()
            .zip(texts.iter())
            .map(|(key, text)| (key, text.as_string().unwrap_or_default()))
            .collect())
    }
}
