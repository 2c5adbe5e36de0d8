//! Queries on a job: its steps, its tasks, the remaining work.

use super::job::{Job, Status};
use super::progress::{TaskProgress, TaskState};
use crate::event::EventId;
use crate::planned::PlannedStep;
use crate::refs::{NamedTask, OpRef};
use lidoff_estimate::Band;

impl Job {
    /// The step in hand: the first that is still to be done.
    pub fn next(&self) -> Option<&PlannedStep> {
        self.remaining.first()
    }

    /// What is still to be done, as planned, s: all remaining steps, without
    /// what has been worked on the first.
    pub fn left_s(&self) -> f64 {
        self.remaining.iter().map(PlannedStep::expected_s).sum()
    }

    /// The same as a band.
    pub fn left_band(&self) -> Band {
        Band::from_estimates(self.remaining.iter().flat_map(PlannedStep::estimates))
    }

    /// The step of that number, done or still to be done.
    pub fn step(&self, number: u32) -> Option<&PlannedStep> {
        let done = self.done.iter().map(|done| &done.step);
        done.chain(&self.remaining)
            .find(|step| step.number == number)
    }

    /// The number that the first step of the next plan gets.
    pub const fn next_number(&self) -> u32 {
        self.highest_number.saturating_add(1)
    }

    /// The tasks still to be done.
    pub fn open_tasks(&self) -> impl Iterator<Item = &NamedTask> {
        self.tasks
            .iter()
            .filter(|task| task.state == TaskProgress::Open)
            .map(|task| &task.task)
    }

    /// The tasks that another visit must take up: those that the technician turned
    /// back from, and, once the job is closed, those that were not done.
    pub fn left_for_next(&self) -> impl Iterator<Item = &NamedTask> {
        let closed = matches!(self.status, Status::Closed { .. });
        let left = move |task: &&TaskState| match task.state {
            TaskProgress::LeftOpen => true,
            TaskProgress::Open => closed,
            TaskProgress::Done | TaskProgress::Dropped => false,
        };
        self.tasks.iter().filter(left).map(|task| &task.task)
    }

    /// Whether nothing more is done but to close the unit: the technician has
    /// turned back, and what was open is left open.
    pub fn is_closing(&self) -> bool {
        let is = |state| self.tasks.iter().any(|task| task.state == state);
        is(TaskProgress::LeftOpen) && !is(TaskProgress::Open)
    }

    /// Whether this operation has been completed since that event.
    pub fn has_done_since(&self, op: &OpRef, since: EventId) -> bool {
        self.done
            .iter()
            .any(|done| done.event > since && done.step.completes.contains(op))
    }
}
