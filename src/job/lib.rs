//! One visit to one unit: its log, the state computed from the log, and the tally.
//!
//! The [`Log`] is an append-only list of events and the only source of truth. A [`Job`]
//! is its fold; every screen and report reads the fold. Invariants: nothing in a log is
//! edited (an undo is an event). The fold never fails and never panics, whatever the
//! log holds. It needs no catalog, because a plan is stored with all its texts. Only
//! [`position`](mod@position), which makes a new plan, needs the catalog. The clock and
//! the store are passed in.

pub mod document;
pub mod event;
pub mod finding;
pub mod fold;
pub mod job_id;
pub mod limits;
pub mod log;
pub mod marginal_cost;
pub mod measured;
pub mod outlook;
pub mod planned;
pub mod position;
pub mod refs;
pub mod snapshot;
pub mod stamp;
pub mod tally;
pub mod waiting;
mod walk;

pub use document::{DocumentError, from_json, to_json};
pub use event::{
    BlockedOperation, Danger, Event, EventId, EventKind, Lack, Mishap, Opened, Outcome, Owed,
    PauseReason, Photo, Reason, RecordedValue, Taken, UnavailablePart, UnitRef, UnknownKind,
};
pub use finding::{Finding, Irregularity};
pub use fold::{
    CutShort, DangerNoted, DemandMet, Demands, DoneStep, Explanation, Fate, Job, MishapNoted,
    NoteTaken, OpenGap, PartlyDone, Pause, PhotoTaken, PlanMade, ReadingTaken, Status,
    TaskProgress, TaskState, ValueRecorded, fold,
};
pub use job_id::JobId;
pub use limits::LimitLeft;
pub use log::{AppendError, Log, QuarantinedRecord};
pub use marginal_cost::{MarginalCost, MarginalCosts};
pub use measured::{Restart, measured_ms};
pub use planned::{
    Cable, Duty, Fasteners, HandBackPiece, JobPhase, OldPart, PlanSnapshot, PlannedStep, RestsOn,
    Used, WaitStarted,
};
pub use position::{Position, PositionError, ReplanError, closing_up, position, replan};
pub use refs::{NamedTask, OpRef, TaskRef, WayRef};
pub use snapshot::{ComesNew, FirstSteps, FixedSteps, SnapshotInput, StartedOperation, snapshot};
pub use stamp::{RunId, Span, SpanKind, Stamp, between};
pub use tally::{SetTally, Tally, Unaccounted, tally};
pub use waiting::{HazardWait, WaitLeft};
