//! Queries on a job: its steps, its tasks, the remaining work.

use super::job::{Job, Status};
use super::progress::{TaskProgress, TaskState};
use crate::event::{EventId, Owed};
use crate::planned::{OldPart, PlannedStep};
use crate::refs::{NamedTask, OpRef, TaskRef};
use lidoff_catalog::format::{PartId, Text};
use lidoff_estimate::Band;

impl Job {
    /// The current step: the first remaining one.
    pub fn next(&self) -> Option<&PlannedStep> {
        self.remaining.first()
    }

    /// The entries that an undo takes back together: the last step done, or what changed the
    /// plan since.
    pub fn undo_next(&self) -> &[EventId] {
        if self.changes_due.is_empty() {
            &self.last_entries
        } else {
            &self.changes_due
        }
    }

    /// Whether the plan no longer fits what is known: nothing may be done by it until there is
    /// a new one.
    pub const fn is_plan_stale(&self) -> bool {
        self.plan.is_some() && self.replan_due.is_some()
    }

    /// Planned time of all remaining steps, less the work already done on the first, s.
    pub fn left_s(&self) -> f64 {
        self.remaining.iter().map(PlannedStep::expected_s).sum()
    }

    /// The same as a band.
    pub fn left_band(&self) -> Band {
        Band::from_estimates(self.remaining.iter().flat_map(PlannedStep::estimates))
    }

    /// The step with this number, done or remaining.
    pub fn step(&self, number: u32) -> Option<&PlannedStep> {
        let done = self.done.iter().map(|done| &done.step);
        done.chain(&self.remaining)
            .find(|step| step.number == number)
    }

    /// The number of the first step of the next plan.
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

    /// The parts that were left out for good. The unit is closed without them and is out of
    /// use.
    pub fn left_out(&self) -> impl Iterator<Item = &PartId> {
        let completed = self.done.iter().flat_map(|done| &done.step.completes);
        completed.filter_map(|op| match op {
            OpRef::LeaveOut(part) => Some(part),
            _ => None,
        })
    }

    /// Names of the parts that were left out for good.
    pub fn left_out_names(&self) -> impl Iterator<Item = &Text> {
        self.left_out().map(|part| {
            let is_it = |task: &&TaskState| task.task.task == TaskRef::LeaveOut(part.clone());
            let task = self.tasks.iter().find(is_it);
            task.map_or(&part.0, |task| &task.task.name)
        })
    }

    /// The tasks for another visit: those left open when the technician turned back, and,
    /// once the job is closed, those that were not done.
    pub fn left_for_next(&self) -> impl Iterator<Item = &NamedTask> {
        let closed = matches!(self.status, Status::Closed { .. });
        let left = move |task: &&TaskState| match task.state {
            TaskProgress::LeftOpen => true,
            TaskProgress::Open => closed,
            TaskProgress::Done | TaskProgress::Dropped => false,
        };
        self.tasks.iter().filter(left).map(|task| &task.task)
    }

    /// Whether the unit is only being closed: the technician has turned back, and the open
    /// tasks are left.
    pub fn is_closing(&self) -> bool {
        let is = |state| self.tasks.iter().any(|task| task.state == state);
        is(TaskProgress::LeftOpen) && !is(TaskProgress::Open)
    }

    /// What must be done with the parts that were replaced or left out.
    pub fn duties(&self) -> impl Iterator<Item = &OldPart> {
        let is_out = |old: &&OldPart| {
            let ways = [
                OpRef::Swap(old.part.clone()),
                OpRef::LeaveOut(old.part.clone()),
            ];
            let mut completed = self.done.iter().flat_map(|done| &done.step.completes);
            completed.any(|op| ways.contains(op))
        };
        self.old_parts.iter().filter(is_out)
    }

    /// The entry that says that this was done with the old part.
    pub fn handled(&self, old: &OldPart) -> Option<EventId> {
        let mut handled = self.handled.iter();
        let same = handled.find(|(_, part, duty)| *part == old.part && *duty == old.duty);
        same.map(|(event, ..)| *event)
    }

    /// Why this was not done with the old part.
    pub fn reason_not_handled(&self, old: &OldPart) -> Option<&Text> {
        let owed = Owed::from(old);
        let mut reasons = self.accounted.iter().rev();
        let reason = reasons.find(|(other, _)| *other == owed);
        reason.map(|(_, why)| why)
    }

    /// Whether this operation has been completed since that event.
    pub fn has_done_since(&self, op: &OpRef, since: EventId) -> bool {
        self.done
            .iter()
            .any(|done| done.event > since && done.step.completes.contains(op))
    }
}
