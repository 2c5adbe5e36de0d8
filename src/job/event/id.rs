//! The id of an event.

use std::fmt;

use serde::{Deserialize, Serialize};

use crate::stamp::RunId;

/// The id of an event in its job. Events are sorted by id.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct EventId {
    /// One more than the highest in the log when the event was made.
    pub seq: u32,
    /// The run that made it: two runs that did not know of each other may use the same
    /// number.
    pub run: RunId,
}

impl fmt::Display for EventId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:010}-{}", self.seq, self.run)
    }
}
