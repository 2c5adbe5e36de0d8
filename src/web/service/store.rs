//! Jobs in progress, in local storage: available synchronously, one key per event.
//!
//! `lidoff/job/<job>/<event>` holds one event as JSON, so a write is as small as
//! what happened, and one damaged record harms one event. What cannot be read is
//! moved to `lidoff/unreadable/…` and is removed by nobody but the user. A browser
//! that is killed loses the last writes, up to a minute of them: the
//! [journal](super::journal) does not.

use std::fmt;

use gloo_storage::{LocalStorage, Storage as _};
use web_sys::Storage;

use lidoff_i18n::tr;

use super::browser::{self, Thrown};
use super::quarantine::Note;
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, JobId};

const JOB: &str = "lidoff/job/";
const QUARANTINE: &str = "lidoff/aside/";
const VAN: &str = "lidoff/van/";

/// Why an operation on local storage failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum StoreError {
    /// The browser denies this page the store.
    Denied(String),
    /// It is full (5 MB per origin).
    Full,
    /// A different event is stored under this key.
    Taken(String),
    /// Something else.
    Other(String),
}

impl fmt::Display for StoreError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Denied(why) => f.write_str(&tr!(
                "Lidoff cannot use local storage in this browser ({why}). Allow this page to store data, or leave private browsing.",
                why
            )),
            Self::Full => f.write_str(&tr!(
                "Local storage is full. Share finished jobs and remove them from this device."
            )),
            Self::Taken(key) => f.write_str(&tr!(
                "Local storage already has another entry {key}. Nothing was overwritten.",
                key
            )),
            Self::Other(why) => f.write_str(&tr!(
                "Local storage failed ({why}). Share the job now, then reload.",
                why
            )),
        }
    }
}

impl std::error::Error for StoreError {}

/// One event as it is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// The job.
    pub job: JobId,
    /// Key within the job: the id of the event.
    pub key: String,
    /// The event as JSON.
    pub text: String,
}

/// Records written together, which can be removed again.
#[derive(Debug, Default)]
#[must_use = "what the journal refuses must be taken back"]
pub(super) struct Written(Vec<String>);

impl Written {
    /// Removes them again.
    ///
    /// # Errors
    /// When one of them is still there.
    pub(super) fn take_back(self) -> Result<(), StoreError> {
        self.0.iter().try_for_each(|name| remove(name))
    }
}

/// Writes new records, all or none. A record that is already stored with the same text
/// stays; a different one under its key is not overwritten.
///
/// # Errors
/// When none is written. Where what was written cannot be taken back either, that
/// is the error: what is left then is found at the next start.
pub(super) fn add_all(records: &[Record]) -> Result<Written, StoreError> {
    let mut written = Written::default();
    for record in records {
        let name = path(&record.job, &record.key);
        if let Err(error) = add(&name, record, &mut written) {
            written.take_back()?;
            return Err(error);
        }
    }
    Ok(written)
}

fn add(name: &str, record: &Record, written: &mut Written) -> Result<(), StoreError> {
    match read(name)? {
        Some(known) if known == record.text => Ok(()),
        Some(_) => Err(StoreError::Taken(record.key.clone())),
        None => {
            write(name, &record.text)?;
            written.0.push(name.to_owned());
            Ok(())
        }
    }
}

/// Writes an event.
///
/// # Errors
/// When it is not written.
pub fn append(job: &JobId, event: &Event) -> Result<(), StoreError> {
    put(job, &record_key(event.id), &json(event))
}

/// Every record of every job, in the order of their keys.
///
/// # Errors
/// When there is no local storage.
pub fn load_all() -> Result<Vec<Record>, StoreError> {
    records(JOB)
}

/// Every record of a job, in the order of their keys.
///
/// # Errors
/// When there is no local storage.
pub fn load(job: &JobId) -> Result<Vec<Record>, StoreError> {
    let mut all = records(&path(job, ""))?;
    // The id of another job may begin with the id of this one.
    all.retain(|record| record.job == *job);
    Ok(all)
}

/// The lines of the list for loading the van that are ticked for this job. None if nothing
/// can be stored.
pub fn loaded(job: &str) -> Vec<String> {
    let kept = read(&format!("{VAN}{job}")).ok().flatten();
    let kept = kept.unwrap_or_default();
    kept.lines().map(str::to_owned).collect()
}

/// Stores the ticked lines. They are a reminder, and no part of the job's records.
///
/// # Errors
/// When they are not kept.
pub fn keep_loaded(job: &str, keys: &[String]) -> Result<(), StoreError> {
    write(&format!("{VAN}{job}"), &keys.join("\n"))
}

/// Removes every record of a job, and what is ticked for it.
///
/// # Errors
/// When there is no local storage.
pub fn forget(job: &JobId) -> Result<(), StoreError> {
    remove(&format!("{VAN}{job}"))?;
    for record in load(job)? {
        remove(&path(job, &record.key))?;
    }
    Ok(())
}

pub(super) fn put(job: &JobId, key: &str, text: &str) -> Result<(), StoreError> {
    write(&path(job, key), text)
}

/// Moves a record to quarantine. If there is no space for that, it stays where it is.
pub(super) fn quarantine(job: &JobId, key: &str, note: &Note) -> Result<(), StoreError> {
    set_aside(job, key, note)?;
    remove(&path(job, key))
}

/// Adds a record to quarantine, and returns its name there.
pub(super) fn set_aside(job: &JobId, key: &str, note: &Note) -> Result<String, StoreError> {
    let storage = storage()?;
    let mut to = format!("{QUARANTINE}{}", path(job, key));
    while storage.get_item(&to).map_err(failed)?.is_some() {
        to.push('+');
    }
    write(&to, &note.to_json())?;
    Ok(to)
}

/// Removes every record of a job, the unreadable ones too.
pub(super) fn forget_all(job: &JobId) -> Result<(), StoreError> {
    for (name, of, ..) in unreadable_records()? {
        if of == *job {
            remove(&name)?;
        }
    }
    forget(job)
}

/// Removes everything that Lidoff has stored here, the preferences too.
pub(super) fn clear() -> Result<(), StoreError> {
    names("lidoff/")?.iter().try_for_each(|name| remove(name))
}

/// All quarantined records: name, job, key within the job, and note.
pub(super) fn unreadable_records() -> Result<Vec<(String, JobId, String, Note)>, StoreError> {
    let storage = storage()?;
    let mut all = Vec::new();
    for name in names(QUARANTINE)? {
        let Some(text) = storage.get_item(&name).map_err(failed)? else {
            continue;
        };
        let from = name[QUARANTINE.len()..].trim_end_matches('+');
        let (job, key) = parts(from.strip_prefix(JOB).unwrap_or(from));
        all.push((name, job, key, Note::from_json(text)));
    }
    Ok(all)
}

/// Distinguishes a store that throws from a missing one: `gloo-storage` throws if the
/// page is denied its store.
fn storage() -> Result<Storage, StoreError> {
    let window = browser::window().map_err(|error| StoreError::Denied(error.to_string()))?;
    match window.local_storage() {
        Ok(Some(_)) => Ok(LocalStorage::raw()),
        Ok(None) => Err(StoreError::Denied(tr!("not available"))),
        Err(error) => Err(StoreError::Denied(Thrown::from(error).to_string())),
    }
}

pub(crate) fn read(name: &str) -> Result<Option<String>, StoreError> {
    storage()?.get_item(name).map_err(failed)
}

pub(crate) fn write(name: &str, text: &str) -> Result<(), StoreError> {
    storage()?.set_item(name, text).map_err(failed)
}

pub(crate) fn remove(name: &str) -> Result<(), StoreError> {
    storage()?.remove_item(name).map_err(failed)
}

fn failed(error: wasm_bindgen::JsValue) -> StoreError {
    let thrown = Thrown::from(error);
    match thrown.name.as_str() {
        // The second is the old name in Firefox.
        "QuotaExceededError" | "NS_ERROR_DOM_QUOTA_REACHED" => StoreError::Full,
        "SecurityError" => StoreError::Denied(thrown.to_string()),
        _ => StoreError::Other(thrown.to_string()),
    }
}

fn path(job: &JobId, key: &str) -> String {
    format!("{JOB}{job}/{key}")
}

/// Keys of events hold no slash; ids of jobs might.
fn parts(path: &str) -> (JobId, String) {
    let (job, key) = path.rsplit_once('/').unwrap_or((path, ""));
    (JobId(job.to_owned()), key.to_owned())
}

fn records(prefix: &str) -> Result<Vec<Record>, StoreError> {
    let storage = storage()?;
    let mut all = Vec::new();
    for name in names(prefix)? {
        // Another tab may have removed it meanwhile.
        if let Some(text) = storage.get_item(&name).map_err(failed)? {
            let (job, key) = parts(&name[JOB.len()..]);
            all.push(Record { job, key, text });
        }
    }
    Ok(all)
}

fn names(prefix: &str) -> Result<Vec<String>, StoreError> {
    let storage = storage()?;
    let mut names = Vec::new();
    for nth in 0..storage.length().map_err(failed)? {
        if let Some(name) = storage.key(nth).map_err(failed)?
            && name.starts_with(prefix)
        {
            names.push(name);
        }
    }
    // The browser's key order is arbitrary.
    names.sort_unstable();
    Ok(names)
}
