//! Why an operation on the journal failed.

use std::fmt;

use lidoff_i18n::tr;
use wasm_bindgen::JsValue;

use crate::service::browser::Thrown;

/// Why an operation on the journal failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum JournalError {
    /// The browser has no IndexedDB, or none for this page.
    Denied(String),
    /// An older version of the app is open in another tab.
    Blocked,
    /// The database is of a newer version of the app.
    Newer,
    /// The device is out of space.
    Full,
    /// The database timed out. The operation was cancelled.
    Silent,
    /// A different event is stored under this key. Nothing was written.
    Taken(String),
    /// Something else.
    Other(String),
}

impl fmt::Display for JournalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Denied(why) => f.write_str(&tr!(
                "Lidoff cannot use a database in this browser ({why}). Leave private browsing, or allow this page to store data.",
                why
            )),
            Self::Blocked => f.write_str(&tr!(
                "An older version of Lidoff is open in another tab. Close that tab, then reload this one."
            )),
            Self::Newer => f.write_str(&tr!(
                "The records were saved by a newer version of Lidoff. Reload to update."
            )),
            Self::Full => f.write_str(&tr!(
                "This device is out of space for records. Free some storage, or share finished jobs and remove them."
            )),
            Self::Silent => f.write_str(&tr!(
                "The browser's database does not respond. Close Lidoff's other tabs and reload. If that does not help, restart the browser."
            )),
            Self::Taken(key) => f.write_str(&tr!(
                "The browser's database already has another entry {key}. Nothing was overwritten.",
                key
            )),
            Self::Other(why) => f.write_str(&tr!(
                "The browser's database failed ({why}). Share the job now, then reload.",
                why
            )),
        }
    }
}

impl std::error::Error for JournalError {}

impl From<Thrown> for JournalError {
    fn from(thrown: Thrown) -> Self {
        match thrown.name.as_str() {
            "QuotaExceededError" => Self::Full,
            "ConstraintError" => Self::Taken(String::new()),
            "VersionError" => Self::Newer,
            "SecurityError" => Self::Denied(thrown.to_string()),
            _ => Self::Other(thrown.to_string()),
        }
    }
}

impl From<JsValue> for JournalError {
    fn from(error: JsValue) -> Self {
        Thrown::from(error).into()
    }
}
