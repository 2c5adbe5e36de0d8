//! The app without its screens: what a technician can do, as a function.
//!
//! A [`Command`] goes in, with the time of the tap. The result is a [`Transaction`]
//! (the events to store as one batch, and the job as the screens see it next), a report
//! that nothing changes, or a refusal with its reason. The shell stores the batch and
//! [commits](Session::commit) the transaction; a dropped transaction has no effect.
//! [`execute`](fn@execute) does the three steps in order. [`CommandQueue`] holds commands that
//! arrive while another one is in progress.
//!
//! Invariants:
//! - A session changes only by [`Session::commit`] and by what the shell reads
//!   from storage. A command that fails leaves it as it was.
//! - The events of one command, its new plan included, are stored all or none. No
//!   event is ever overwritten ([`EventSink`]), so the number of an event that was
//!   not stored is free again.
//! - Every job is folded once per change, and both parts of a [`LoadedJob`] are of
//!   one moment.
//! - What was found is never refused for want of a plan: it is stored, the old plan becomes
//!   stale, and no step is done until there is a new one.
//! - No command is dropped. When its turn comes it is checked against the job as
//!   it stands then: a step is done only while it is in hand with its demands met,
//!   and what the job says already is [`Unchanged`], not recorded twice.
//! - Nothing here knows of a browser, a clock or a screen.

mod check;
mod command;
mod execute;
mod library;
mod queue;
mod replanned;
#[expect(
    clippy::module_inception,
    reason = "its one type gives the module its name"
)]
mod session;
mod storage;
mod transaction;

pub use command::{Command, CommandError, Entries, Unchanged};
pub use execute::{Executed, execute};
pub use library::{CatalogLibrary, RejectedCatalog};
pub use queue::{CommandQueue, Pushed, Queued, run_queue};
pub use replanned::Replanned;
pub use session::{LoadedJob, Session};
pub use storage::{Batch, EventSink, StorageError, Stored};
pub use transaction::{Committed, Outcome, Transaction};
