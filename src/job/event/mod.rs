//! What can happen on a job, as the log keeps it.
//!
//! An event is never edited. What was entered by mistake is taken out by an
//! [`EventKind::Undone`] event, and put in again by undoing that. Where a name in the
//! code is clearer than the one in older files, the file keeps its name.

mod entry;
mod id;
mod kind;
mod obstacle;
mod opening;
mod reason;

pub use entry::{Mishap, Owed, Photo, Taken};
pub use id::EventId;
pub use kind::{Event, EventKind};
pub use obstacle::{BlockedOperation, Lack, UnavailablePart};
pub use opening::{Opened, Outcome, UnitRef};
pub use reason::{PauseReason, Reason};
