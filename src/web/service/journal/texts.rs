//! Texts under string keys: catalogs and photos.

use wasm_bindgen::JsValue;

use super::transaction::Access;
use super::{Journal, JournalError};

impl Journal {
    /// All texts of an object store with string keys.
    pub(in crate::service) async fn texts(
        &self,
        store: &'static str,
    ) -> Result<Vec<(String, String)>, JournalError> {
        let rows = self.rows(store, None).await?;
        let named = |(key, text): (JsValue, String)| (key.as_string().unwrap_or_default(), text);
        Ok(rows.into_iter().map(named).collect())
    }

    /// Stores a text under a string key.
    pub(in crate::service) async fn put_text(
        &self,
        store: &'static str,
        name: &str,
        text: &str,
    ) -> Result<(), JournalError> {
        let (name, text) = (JsValue::from(name), JsValue::from(text));
        self.write(Access::Write, move |transaction| {
            let store = transaction.object_store(store)?;
            store.put_with_key(&text, &name).map(drop)
        })
        .await
    }

    /// Removes the text under a string key.
    pub(in crate::service) async fn remove_text(
        &self,
        store: &'static str,
        name: &str,
    ) -> Result<(), JournalError> {
        let name = JsValue::from(name);
        self.write(Access::Write, move |transaction| {
            transaction.object_store(store)?.delete(&name).map(drop)
        })
        .await
    }
}
