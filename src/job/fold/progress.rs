//! The progress of a job: its tasks, plans and completed steps.

use crate::event::{EventId, Reason};
use crate::planned::PlannedStep;
use crate::refs::NamedTask;
use crate::stamp::Stamp;
use lidoff_estimate::Band;

/// A task and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaskState {
    pub task: NamedTask,
    /// The event that asked for it.
    pub since: EventId,
    /// What became of it.
    pub state: TaskProgress,
}

/// What became of a task.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TaskProgress {
    /// Still to be done.
    Open,
    Done,
    /// Will not be done.
    Dropped,
    /// Not done on this visit: the technician turned back. The next one takes it
    /// up.
    LeftOpen,
}

/// A plan that was made.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanMade {
    pub event: EventId,
    /// Why.
    pub because: Reason,
    /// Number of steps that were left.
    pub steps: usize,
    /// Expected time of what was left, s.
    pub total_s: f64,
    /// The same as a band.
    pub band: Band,
}

/// A step that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct DoneStep {
    /// The event that says so.
    pub event: EventId,
    /// When.
    pub at: Stamp,
    /// When, as time since the first event, ms.
    pub lasted_ms: i64,
    /// The step as planned.
    pub step: PlannedStep,
    /// Work on it, ms; pauses are left out.
    pub work_ms: i64,
    /// The clocks alone tell `work_ms`; else the app was closed in between, or a
    /// clock ran backwards, and it is not fit to learn from.
    pub is_reliable: bool,
}
