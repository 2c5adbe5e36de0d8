//! The events of a job, as stored in the log.
//!
//! An event is never edited. An [`EventKind::Undone`] event takes back a mistaken
//! entry, and undoing that event restores it. Where the code uses a clearer name than
//! older files, the file format keeps the old name.
//!
//! An event that a newer version recorded is kept as it is ([`EventKind::Unknown`]), so
//! that it is still there when the job goes back to that version.

mod danger;
mod entry;
mod id;
mod kind;
mod obstacle;
mod opening;
mod reason;
mod unknown;

pub use danger::Danger;
pub use entry::{Mishap, Owed, Photo, RecordedValue, Taken};
pub use id::EventId;
pub use kind::{Event, EventKind};
pub use obstacle::{BlockedOperation, Lack, UnavailablePart};
pub use opening::{Opened, Outcome, UnitRef};
pub use reason::{PauseReason, Reason};
pub use unknown::UnknownKind;
