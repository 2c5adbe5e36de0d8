//! The progress of a job: its tasks, plans and completed steps.

use crate::event::{EventId, Reason};
use crate::planned::PlannedStep;
use crate::refs::NamedTask;
use crate::stamp::Stamp;
use lidoff_catalog::format::FasteningId;
use lidoff_estimate::Band;

/// A task and its progress.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaskState {
    pub task: NamedTask,
    /// The event that requested it.
    pub since: EventId,
    /// Its progress.
    pub state: TaskProgress,
}

/// The progress of a task.
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
    /// Number of remaining steps.
    pub steps: usize,
    /// Expected remaining time, s.
    pub total_s: f64,
    /// The same as a band.
    pub band: Band,
}

/// A step that was left half done.
#[derive(Clone, Debug, PartialEq)]
pub struct PartlyDone {
    /// The step as planned.
    pub step: PlannedStep,
    pub fastening: FasteningId,
    /// How many fasteners of the set are out, or back in.
    pub count: u16,
    /// Another step has reversed it since.
    pub is_reversed: bool,
}

impl PartlyDone {
    /// Whether it took fasteners out; else it put them in.
    pub fn is_out(&self) -> bool {
        let mut undone = self.step.undo.iter();
        undone.any(|set| set.fastening == self.fastening)
    }
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
    /// When, as measured time since the first event, ms.
    pub measured_ms: i64,
    /// The step as planned.
    pub step: PlannedStep,
    /// Work on it, ms; pauses excluded.
    pub work_ms: i64,
    /// Whether the clocks alone give `work_ms`. Otherwise the app was closed meanwhile, or
    /// a clock ran backwards, and the time is not used for learning.
    pub is_reliable: bool,
}
