//! Changes by single events that do not depend on the events around them.

use super::demands::passes;
use super::entries::ReadingTaken;
use super::job::{Job, Status};
use super::progress::{PartlyDone, TaskProgress, TaskState};
use crate::event::{BlockedOperation, Event, EventId, EventKind, Reason, Taken, UnavailablePart};
use crate::finding::{Finding, Irregularity};
use crate::planned::PlannedStep;
use crate::refs::{NamedTask, OpRef, TaskRef};
use lidoff_catalog::format::{AnswerId, FasteningId, OptionId, QuestionId};

impl Job {
    pub(super) fn add_finding(&mut self, event: EventId, irregularity: Irregularity) {
        self.findings.push(Finding {
            event,
            irregularity,
        });
    }

    /// Whether the job is open. If it is not, this records a finding.
    pub(super) fn require_open(&mut self, event: EventId) -> bool {
        let open = matches!(self.status, Status::Running | Status::Paused(_));
        if !open {
            self.add_finding(event, Irregularity::OutsideJob);
        }
        open
    }

    pub(super) fn add_task(&mut self, task: &NamedTask, since: EventId) {
        let open = |one: &TaskState| one.state == TaskProgress::Open && one.task.task == task.task;
        if self.tasks.iter().any(open) {
            return;
        }
        self.replan_due = Some(Reason::TaskAdded);
        let left = |one: &&mut TaskState| {
            one.state == TaskProgress::LeftOpen && one.task.task == task.task
        };
        if let Some(left) = self.tasks.iter_mut().find(left) {
            left.state = TaskProgress::Open;
            return;
        }
        self.tasks.push(TaskState {
            task: task.clone(),
            since,
            state: TaskProgress::Open,
        });
    }

    /// Leaves the open tasks for the next visit; the unit is to be closed.
    pub(super) fn turn_back(&mut self) {
        for one in &mut self.tasks {
            if one.state == TaskProgress::Open {
                one.state = TaskProgress::LeftOpen;
                self.replan_due = Some(Reason::ClosingUp);
            }
        }
    }

    /// Leaves this task for the next visit. If it was the last one, the unit is to be
    /// closed.
    pub(super) fn leave_task(&mut self, task: &TaskRef) {
        let open = |one: &&mut TaskState| one.state == TaskProgress::Open && one.task.task == *task;
        if let Some(one) = self.tasks.iter_mut().find(open) {
            one.state = TaskProgress::LeftOpen;
            // It may be left because of what was reported just before.
            self.replan_due.get_or_insert(Reason::PartUnavailable);
        }
    }

    /// An entry that can change the plan was applied.
    pub(super) fn note_change(&mut self, event: &Event) {
        let is_due = match (&event.kind, &self.replan_due) {
            (_, None) => false,
            (EventKind::Read { .. }, Some(due)) => *due == Reason::IsolationFailed,
            (_, Some(_)) => true,
        };
        if is_due && self.plan.is_some() {
            self.changes_due.push(event.id);
        }
    }

    pub(super) fn note_unavailable(&mut self, part: &UnavailablePart) {
        self.unavailable_parts
            .retain(|known| known.task.task != part.task.task);
        self.unavailable_parts.push(part.clone());
    }

    pub(super) fn drop_task(&mut self, task: &TaskRef) {
        for one in &mut self.tasks {
            if one.state == TaskProgress::Open && one.task.task == *task {
                one.state = TaskProgress::Dropped;
                self.replan_due = Some(Reason::TaskDropped);
            }
        }
    }

    pub(super) fn answer(&mut self, question: &QuestionId, answer: &AnswerId) {
        let rests_on = self.plan.as_ref().and_then(|plan| {
            let mut all = plan.rests_on.iter();
            all.find(|one| one.question == *question)
        });
        if rests_on.is_some_and(|one| one.answer != *answer) {
            self.replan_due = Some(Reason::Answered);
        }
        self.answered_here.push(question.clone());
        self.setup.answers.insert(question.clone(), answer.clone());
    }

    pub(super) fn block(&mut self, way: &BlockedOperation) {
        self.blocked.retain(|known| known.op != way.op);
        self.blocked.push(way.clone());
        self.replan_due = Some(Reason::RouteBlocked);
    }

    pub(super) fn unblock(&mut self, op: &OpRef) {
        let before = self.blocked.len();
        self.blocked.retain(|known| known.op != *op);
        if self.blocked.len() < before {
            self.replan_due = Some(Reason::RouteOpen);
        }
    }

    /// A broken part changes the plan only through a task or a blocked operation; then it
    /// is the reason for the replan.
    pub(super) fn found_broken(&mut self, part: &NamedTask) {
        self.broken.push(part.clone());
        if let Some(due) = &mut self.replan_due {
            *due = Reason::PartBroken;
        }
    }

    pub(super) fn fit_with(&mut self, fitted: &[OptionId]) {
        if self.setup.fitted != fitted {
            self.setup.fitted = fitted.to_vec();
            self.replan_due = Some(Reason::FittedDifferently);
        }
    }

    pub(super) fn note_partly_done(
        &mut self,
        event: EventId,
        number: u32,
        fastening: &FasteningId,
        count: u16,
    ) {
        let mut left = self.remaining.iter();
        let Some(step) = left.find(|step| step.number == number).cloned() else {
            self.add_finding(event, Irregularity::NoSuchStep { step: number });
            return;
        };
        let is_same = |one: &PartlyDone| {
            !one.is_reversed && one.fastening == *fastening && one.step.step == step.step
        };
        self.partly_done.retain(|one| !is_same(one));
        let sets = step.undo.iter().chain(&step.redo);
        let most = sets.filter(|set| set.fastening == *fastening);
        let count = most.map(|set| set.count).max().unwrap_or(0).min(count);
        if count > 0 {
            self.partly_done.push(PartlyDone {
                step,
                fastening: fastening.clone(),
                count,
                is_reversed: false,
            });
        }
    }

    /// The step is done: what it had done in part is whole. A step that reverses what another
    /// one had done in part handles only so many.
    pub(super) fn complete_partly_done(&mut self, step: &mut PlannedStep) {
        self.partly_done
            .retain(|one| one.is_reversed || one.step.step != step.step);
        for one in &mut self.partly_done {
            let reversed = if one.is_out() {
                &mut step.redo
            } else {
                &mut step.undo
            };
            let set = reversed.iter_mut();
            let mut set = set.filter(|set| set.fastening == one.fastening);
            if let Some(set) = set.next().filter(|_| !one.is_reversed) {
                set.count = one.count;
                one.is_reversed = true;
            }
        }
    }

    pub(super) fn read(&mut self, event: EventId, number: u32, taken: Taken) {
        let step = self.step(number);
        let step_id = step.map(|step| step.step.clone());
        let asked = step.and_then(|step| step.reading.clone());
        let passed = asked.as_ref().map(|asked| passes(asked, taken));
        self.readings.push(ReadingTaken {
            event,
            step: number,
            step_id,
            passed,
            asked,
            taken,
        });
        if passed == Some(false) {
            self.note_failure(number);
        }
    }
}
