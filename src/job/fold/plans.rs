//! Events that open, plan and progress a job.

use super::job::Status;
use super::progress::{DoneStep, PlanMade, TaskProgress};
use super::state::FoldState;
use super::uncounted::SpanOwner;
use super::undo::undo_target;
use crate::event::{Event, EventKind, Opened, Reason};
use crate::finding::Irregularity;
use crate::planned::PlanSnapshot;

impl FoldState<'_> {
    pub(super) fn open(&mut self, event: &Event, opened: &Opened) {
        let id = event.id;
        let job = &mut self.job;
        if job.opened.is_some() {
            job.add_finding(id, Irregularity::OpenedTwice);
            return;
        }
        job.opened = Some(opened.clone());
        job.opened_at = Some(event.at);
        job.status = Status::Running;
        job.setup = opened.setup.clone();
        job.leave_by_ms = opened.leave_by_ms;
        for task in &opened.tasks {
            job.add_task(task, id);
        }
        job.replan_due = None;
    }

    /// A new plan replaces the rest of the old one. A step that was done when the plan was
    /// made and has been undone since is not in the new plan, so it is put first.
    pub(super) fn plan(&mut self, event: &Event, at: usize, plan: &PlanSnapshot, because: &Reason) {
        let counted_as_done = |number: u32| {
            let mut earlier = self.events[..at].iter().zip(&self.undone_by);
            earlier.any(|(one, undo)| {
                matches!(one.kind, EventKind::Done { step } if step == number)
                    && undo.is_some_and(|undo| undo > at)
            })
        };
        let in_hand = self.job.remaining.first().map(|step| step.step.clone());
        let job = &mut self.job;
        job.remaining.retain(|step| counted_as_done(step.number));
        job.remaining.extend(plan.steps.iter().cloned());
        if job.remaining.first().map(|step| &step.step) != in_hand.as_ref() {
            self.release_step_in_hand();
        }
        let job = &mut self.job;
        job.plans.push(PlanMade {
            event: event.id,
            because: because.clone(),
            steps: plan.steps.len(),
            total_s: plan.total_s,
            band: plan.band,
        });
        for hazard in &plan.hazards {
            job.hazards.retain(|known| known.id != hazard.id);
            job.hazards.push(hazard.clone());
        }
        job.add_sources(&plan.sources);
        for old in &plan.old_parts {
            if !job.old_parts.contains(old) {
                job.old_parts.push(old.clone());
            }
        }
        job.plan = Some(plan.clone());
        job.replan_due = None;
        if !job.changes_due.is_empty() {
            job.last_entries = std::mem::take(&mut job.changes_due);
        }
        job.require_open(event.id);
    }

    /// An entry was undone, or restored. A plan that was made since rests on what no longer
    /// holds.
    pub(super) fn note_undo(&mut self, mut target: usize) {
        while let EventKind::Undone { .. } = self.events[target].kind {
            match undo_target(self.events, target) {
                Some(next) => target = next,
                None => return,
            }
        }
        let Event { id, kind, .. } = &self.events[target];
        let mut since = self.job.plans.iter().filter(|plan| plan.event > *id);
        let rests_on_it = match kind {
            EventKind::Read { .. } => since.any(|plan| plan.because == Reason::IsolationFailed),
            EventKind::Done { .. } => since.next().is_some(),
            kind => kind.can_change_plan() && since.next().is_some(),
        };
        if rests_on_it {
            self.job.replan_due = Some(Reason::EntryUndone);
        }
    }

    pub(super) fn done(&mut self, event: &Event, number: u32) {
        let job = &mut self.job;
        job.require_open(event.id);
        let Some(at) = job.remaining.iter().position(|step| step.number == number) else {
            let before = job.done.iter().any(|done| done.step.number == number);
            job.add_finding(
                event.id,
                if before {
                    Irregularity::DoneTwice { step: number }
                } else {
                    Irregularity::NoSuchStep { step: number }
                },
            );
            return;
        };
        if at > 0 {
            job.add_finding(event.id, Irregularity::OutOfOrder { step: number });
        }
        let mut step = job.remaining.remove(at);
        job.complete_partly_done(&mut step);
        for task in &mut job.tasks {
            // A swap in progress at the turn-back is still finished.
            let asked = matches!(task.state, TaskProgress::Open | TaskProgress::LeftOpen);
            if asked && step.completes.contains(&task.task.task.op()) {
                task.state = TaskProgress::Done;
            }
        }
        job.note_power(&step);
        let place = job.done.len();
        job.done.push(DoneStep {
            event: event.id,
            at: event.at,
            lasted_ms: job.lasted_ms,
            measured_ms: job.measured_ms,
            step,
            work_ms: job.in_hand_ms,
            is_reliable: self.in_hand_reliable,
        });
        job.answered_here.clear();
        job.in_hand_ms = 0;
        job.last_entries = vec![event.id];
        self.in_hand_reliable = true;
        for gap in &mut self.uncounted {
            if gap.owner == SpanOwner::StartedOperation {
                gap.owner = SpanOwner::Done(place);
            }
        }
    }
}
