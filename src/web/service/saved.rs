//! Which finished jobs were saved to a file, so that the user is reminded of the others.
//! Only a reminder hangs on it.

use super::preferences::{Preference, get, set};
use super::store::StoreError;
use lidoff_job::{JobId, Log};

/// The finished jobs that were not saved to a file since they were closed.
pub fn unsaved<'a>(finished: impl Iterator<Item = &'a Log>) -> usize {
    let until_ms = get(Preference::AllSavedAt).and_then(|ms| ms.parse::<i64>().ok());
    let alone = get(Preference::SavedJobs).unwrap_or_default();
    let is_saved = |log: &Log| {
        let closed_ms = log.head().map(|head| head.at.wall_ms);
        until_ms.is_some_and(|until_ms| closed_ms.is_some_and(|closed_ms| closed_ms <= until_ms))
            || alone.split(' ').any(|job| job == log.job().as_str())
    };
    finished.filter(|log| !is_saved(log)).count()
}

/// Notes that this job was saved to a file.
///
/// # Errors
/// When that is not kept.
pub fn note_job(job: &JobId) -> Result<(), StoreError> {
    let mut alone = get(Preference::SavedJobs).unwrap_or_default();
    if !alone.split(' ').any(|known| known == job.as_str()) {
        alone = format!("{job} {alone}");
    }
    set(Preference::SavedJobs, alone.trim_end())
}

/// Notes that everything was saved to a file.
///
/// # Errors
/// When that is not kept.
pub fn note_all(at_ms: i64) -> Result<(), StoreError> {
    set(Preference::AllSavedAt, &at_ms.to_string())?;
    set(Preference::SavedJobs, "")
}
