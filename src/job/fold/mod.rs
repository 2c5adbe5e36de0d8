//! The fold: the state of a job, computed from its log.
//!
//! [`fold`] reads the events in order and never fails: an event that makes no sense
//! becomes a [`Finding`](super::finding::Finding). An undone event counts as if it had
//! never happened, except that the clocks in its stamp are still read.
//!
//! # Time
//!
//! The span between two events belongs to the current activity: to the current step
//! while work runs, to the pause while the job is paused, and to nothing before and
//! after the job. A span across an app start
//! ([`NewRun`](super::stamp::SpanKind::NewRun)) counts as work only if it is short or
//! if an [`EventKind::Gap`](super::event::EventKind::Gap) says so.

mod apply;
mod changes;
mod clocks;
mod demands;
mod entries;
mod job;
mod plans;
mod power;
mod progress;
mod queries;
mod records;
mod spans;
mod state;
mod uncounted;
mod undo;

pub use clocks::{OpenGap, SHORT_GAP_MS};
pub use demands::{Demands, passes};
pub use entries::{
    CutShort, DangerNoted, DemandMet, Explanation, Fate, MishapNoted, NoteTaken, Pause, PhotoTaken,
    ReadingTaken, ValueRecorded,
};
pub use job::{Job, Status};
pub use progress::{DoneStep, PartlyDone, PlanMade, TaskProgress, TaskState};
pub use records::describe_record;
pub use undo::is_undone;

use state::FoldState;

use super::log::Log;

/// What a log adds up to.
///
/// ```
/// use lidoff_catalog::setup::Configuration;
/// use lidoff_job::{
///     EventKind, JobId, Log, Opened, PauseReason, Stamp, Status, UnitRef, fold,
/// };
///
/// let mut log = Log::new(JobId("job-1".into()));
/// let mut note = |minute: i64, kind| {
///     let ms = minute * 60_000;
///     let event = log.draft(Stamp { wall_ms: ms, mono_ms: ms, ..Stamp::default() }, kind);
///     log.append(event).unwrap();
/// };
/// // Work begins at once and is interrupted after ten minutes.
/// let unit = UnitRef { id: "perch-22".into(), name: "Perch 22".into(), revision: "1".into() };
/// note(0, EventKind::Opened(Opened {
///     unit,
///     reference: "TM-0001".into(),
///     site: String::new(),
///     technician: String::new(),
///     setup: Configuration::default(),
///     tasks: Vec::new(),
///     leave_by_ms: None,
///     follows: None,
/// }));
/// let reason = PauseReason::Break;
/// note(10, EventKind::Paused { reason, part: None, note: String::new() });
/// note(25, EventKind::Resumed);
///
/// let job = fold(&log);
/// assert_eq!(job.status, Status::Running);
/// assert_eq!(job.worked_ms, 10 * 60_000);
/// assert_eq!(job.pauses[0].ms, 15 * 60_000);
/// ```
pub fn fold(log: &Log) -> Job {
    let events = log.events();
    let mut state = FoldState::new(events);
    for at in 0..events.len() {
        state.apply_event(at);
    }
    state.finish()
}
