//! The object stores, and keys that begin with the job.

use js_sys::Array;
use wasm_bindgen::JsValue;
use web_sys::IdbKeyRange;

use lidoff_job::JobId;

pub(super) const EVENTS: &str = "events";
pub(super) const QUARANTINE: &str = "aside";
pub(in crate::service) const CATALOGS: &str = "catalogs";
/// Jobs that were removed: the job, and when, by the wall clock, ms.
pub(super) const REMOVED: &str = "removed";
/// Finished jobs: the job, and its records compressed.
pub(super) const ARCHIVE: &str = "archive";
pub(super) const STORES: [&str; 5] = [EVENTS, QUARANTINE, CATALOGS, REMOVED, ARCHIVE];

pub(super) fn event_key(job: &JobId, key: &str) -> JsValue {
    Array::of2(&job.as_str().into(), &key.into()).into()
}

pub(super) fn quarantine_key(job: &JobId, key: &str, at_ms: i64) -> JsValue {
    let at_ms = JsValue::from(at_ms as f64);
    Array::of3(&job.as_str().into(), &key.into(), &at_ms).into()
}

/// All keys that begin with this job: IndexedDB sorts arrays after strings.
pub(super) fn range_of(job: &JobId) -> Result<IdbKeyRange, JsValue> {
    let job = JsValue::from(job.as_str());
    let (first, last) = (Array::of1(&job), Array::of2(&job, &Array::new()));
    IdbKeyRange::bound(&first, &last)
}

pub(super) fn word(key: &Array, nth: u32) -> String {
    key.get(nth).as_string().unwrap_or_default()
}
