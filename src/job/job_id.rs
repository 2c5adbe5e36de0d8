//! The id of a job.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::stamp::Stamp;

/// The permanent id of a job. Its reference is not unique.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(transparent)]
pub struct JobId(pub String);

impl JobId {
    /// The id of a job that is opened now.
    pub fn new(at: &Stamp) -> Self {
        Self(format!("{}-{}", at.wall_ms, at.run))
    }

    /// The id as used in store keys.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for JobId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}
