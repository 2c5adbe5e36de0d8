//! The technician's entries: readings, lost or stripped fasteners, photos.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{ConnectionId, FasteningId, HandBackId, PartId, Text};

use crate::planned::{Duty, OldPart};

/// A reading.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Taken {
    /// A value, in the unit that the step names.
    Value(f64),
    /// Whether it was seen or heard.
    Seen(bool),
}

/// A value that was written down.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum RecordedValue {
    /// A serial number, words, or one of the choices in the words of the catalog.
    Text(Text),
    /// A counter.
    Number(u64),
    /// The name of a photo of the job.
    Photo(String),
}

/// An entry about lost, stripped or new fasteners of one set.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Mishap {
    /// The set.
    pub fastening: FasteningId,
    /// How many.
    pub count: u16,
    /// A note.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub note: Text,
}

/// Something other than a difference of a set for which the tally needs a reason.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Owed {
    /// This many fasteners of a set are gone, or their positions are empty; a different
    /// number is not explained.
    Gone {
        /// The set.
        fastening: FasteningId,
        /// How many.
        count: u32,
    },
    /// A cable that is still unplugged.
    Cable(ConnectionId),
    /// A hand-back that is not where it belongs.
    HandBack(HandBackId),
    /// Fasteners that no step of the job touches.
    Strange(FasteningId),
    /// Something that was not done with an old part.
    OldPart { part: PartId, duty: Duty },
}

impl From<&OldPart> for Owed {
    fn from(old: &OldPart) -> Self {
        Self::OldPart {
            part: old.part.clone(),
            duty: old.duty,
        }
    }
}

/// A photo. The picture itself is on the device that took it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Photo {
    /// Its name, unique in the job.
    pub name: String,
    /// Number of the step that it was taken at.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub step: Option<u32>,
    /// Its size, bytes.
    pub bytes: u32,
}
