//! Records that could not be read, kept with the reason. Only the user saves or removes
//! them.

use serde::{Deserialize, Serialize};

use super::files;
use lidoff_i18n::tr;

use lidoff_job::{JobId, QuarantinedRecord};
use lidoff_report::exchange::backup::{self, Backup};

/// A quarantined record.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnreadableRecord {
    /// Where it is stored.
    pub place: Place,
    /// Its job.
    pub job: JobId,
    /// The key of its event.
    pub key: String,
    /// What was found.
    pub note: Note,
    /// Whether the event was recovered from the other store.
    pub restored: bool,
}

/// Where a quarantined record is stored.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Place {
    /// In local storage, under this name.
    Store(String),
    /// In the journal, set aside at this wall clock time, ms.
    Journal(i64),
    /// Still in its place: this tab only reads, or there was no space to move it.
    InPlace,
}

/// The note on a quarantined record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Note {
    /// The text of the record.
    pub text: String,
    /// What is wrong with it.
    pub why: String,
    /// Wall clock when it was found, ms.
    pub at_ms: i64,
}

impl Note {
    pub(super) fn to_json(&self) -> String {
        // Two strings and a number always serialise.
        serde_json::to_string(self).unwrap_or_else(|_| self.text.clone())
    }

    pub(super) fn from_json(text: String) -> Self {
        lidoff_catalog::json::read(&text).unwrap_or_else(|error| Self {
            why: tr!("Its note cannot be read either: {error}", error),
            text,
            at_ms: 0,
        })
    }
}

impl UnreadableRecord {
    /// Saves it to a file that can be read in again.
    ///
    /// # Errors
    /// When the browser does not take the file.
    pub fn save(&self) -> Result<(), files::FileError> {
        let name = format!("lidoff-aside-{}-{}.json", self.job, self.key);
        let record = QuarantinedRecord {
            key: self.key.clone(),
            text: self.note.text.clone(),
            why: self.note.why.clone(),
            count: 1,
        };
        let backup = Backup {
            unreadable: vec![(self.job.clone(), record)],
            ..Backup::default()
        };
        files::save(&name, "application/json", &backup::write(&backup))
    }
}
