//! Which activity the time between two events belongs to.

use super::clocks::{clock_irregularities, is_gap};
use super::job::Status;
use super::state::FoldState;
use super::uncounted::{SpanOwner, Uncounted};
use crate::event::{Event, EventKind};
use crate::measured::measured_ms;
use crate::stamp::{RunId, SpanKind, between};

impl FoldState<'_> {
    /// Adds the span up to this event to the activity that it belongs to.
    pub(super) fn count_span(&mut self, before: &Event, event: &Event, at: usize) {
        let span = between(&before.at, &event.at);
        let are_parallel = self.are_parallel(before.at.run, event.at.run, at);
        let job = &mut self.job;
        job.lasted_ms = job.lasted_ms.saturating_add(span.ms);
        let restart = match &event.kind {
            EventKind::AppRestarted(restart) => Some(restart),
            _ => None,
        };
        let measured_ms = measured_ms(&before.at, &event.at, restart);
        job.measured_ms = job.measured_ms.saturating_add(measured_ms);
        // Two devices have two clocks, and neither is at fault.
        if !are_parallel {
            for irregularity in clock_irregularities(&before.at, &event.at, &job.status) {
                job.add_finding(event.id, irregularity);
            }
        }
        match job.status {
            Status::Running if at <= self.shut_until => {}
            // Neither was closed in between: there is no gap to ask about.
            Status::Running if are_parallel && is_gap(&span) => self.in_hand_reliable = false,
            Status::Running if is_gap(&span) => {
                self.in_hand_reliable = false;
                let owner = self.owner();
                self.uncounted.push(Uncounted {
                    event: event.id,
                    ms: span.ms,
                    from_ms: before.at.wall_ms,
                    to_ms: event.at.wall_ms,
                    owner,
                });
                self.job.note_interruption(span.ms);
            }
            Status::Running => {
                let is_unsure = [SpanKind::RanBackwards, SpanKind::ClocksApart];
                self.in_hand_reliable &= !is_unsure.contains(&span.kind);
                let owner = self.owner();
                self.add_work(owner, span.ms);
            }
            Status::Paused(_) => {
                if let Some(pause) = job.pauses.last_mut() {
                    pause.ms = pause.ms.saturating_add(span.ms);
                }
            }
            Status::NotOpened | Status::Closed { .. } => {}
        }
    }

    /// Whether two runs recorded the job at the same time, on two devices: the later one
    /// was there before this event, or the earlier one comes again. Their events are merged
    /// by sequence number and not by time.
    fn are_parallel(&self, earlier: RunId, later: RunId, at: usize) -> bool {
        let has = |run: RunId, events: &[Event]| events.iter().any(|event| event.at.run == run);
        earlier != later && (has(later, &self.events[..at]) || has(earlier, &self.events[at..]))
    }

    const fn owner(&self) -> SpanOwner {
        if self.job.remaining.is_empty() {
            SpanOwner::Nobody
        } else {
            SpanOwner::StartedOperation
        }
    }

    /// Adds work, or removes it if `ms` is negative.
    fn add_work(&mut self, owner: SpanOwner, ms: i64) {
        let job = &mut self.job;
        let share = match owner {
            SpanOwner::StartedOperation => &mut job.in_hand_ms,
            SpanOwner::Nobody => &mut job.overhead_ms,
            SpanOwner::Done(at) => match job.done.get_mut(at) {
                Some(done) => &mut done.work_ms,
                None => &mut job.overhead_ms,
            },
        };
        *share = share.saturating_add(ms);
        job.worked_ms = job.worked_ms.saturating_add(ms);
    }

    /// The current step has changed: the work on the old one belongs to no step.
    pub(super) fn release_step_in_hand(&mut self) {
        let job = &mut self.job;
        job.overhead_ms = job.overhead_ms.saturating_add(job.in_hand_ms);
        job.in_hand_ms = 0;
        self.in_hand_reliable = true;
        for gap in &mut self.uncounted {
            if gap.owner == SpanOwner::StartedOperation {
                gap.owner = SpanOwner::Nobody;
            }
        }
    }

    /// Applies the technician's answer about a span. If the span was not counted, the time
    /// outside the gap and the work inside it are now counted. If it was counted (the
    /// device was asleep), the idle time is subtracted again.
    pub(super) fn answer_gap(&mut self, from_ms: i64, to_ms: i64, work_ms: i64) {
        let long = to_ms.saturating_sub(from_ms).max(0);
        let work = work_ms.clamp(0, long);
        let overlaps = |gap: &Uncounted| from_ms < gap.to_ms && to_ms > gap.from_ms;
        match self.uncounted.iter().rposition(overlaps) {
            Some(at) => {
                let gap = self.uncounted.remove(at);
                let outside = gap.ms.saturating_sub(long).max(0);
                self.add_work(gap.owner, outside.saturating_add(work).min(gap.ms));
            }
            None => {
                let owner = self.owner();
                let counted = match owner {
                    SpanOwner::StartedOperation => self.job.in_hand_ms,
                    SpanOwner::Nobody | SpanOwner::Done(_) => self.job.overhead_ms,
                };
                self.in_hand_reliable = false;
                self.add_work(owner, -(long - work).min(counted.max(0)));
            }
        }
    }
}
