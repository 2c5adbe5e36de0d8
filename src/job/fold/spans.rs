//! To whom the time between two events belongs.

use super::clocks::{clock_trouble, is_gap};
use super::folding::Folding;
use super::job::Status;
use crate::event::{Event, EventId};
use crate::stamp::{SpanKind, between};

/// A span that was not counted, because the app was closed.
pub(super) struct Uncounted {
    pub(super) event: EventId,
    pub(super) ms: i64,
    pub(super) from_ms: i64,
    pub(super) to_ms: i64,
    pub(super) owner: Owner,
}

/// Whom a span of work belongs to.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Owner {
    /// The step in hand.
    InHand,
    /// The step that was done as the so-manieth.
    Done(usize),
    /// No step.
    Nobody,
}

impl Folding<'_> {
    /// Gives the span up to this event to whom it belongs.
    pub(super) fn count(&mut self, before: &Event, event: &Event, at: usize) {
        let span = between(&before.at, &event.at);
        let job = &mut self.job;
        job.lasted_ms = job.lasted_ms.saturating_add(span.ms);
        for trouble in clock_trouble(&before.at, &event.at, &job.status) {
            job.find(event.id, trouble);
        }
        match job.status {
            Status::Running if at <= self.shut_until => {}
            Status::Running if is_gap(&span) => {
                self.in_hand_sure = false;
                let owner = self.owner();
                self.uncounted.push(Uncounted {
                    event: event.id,
                    ms: span.ms,
                    from_ms: before.at.wall_ms,
                    to_ms: event.at.wall_ms,
                    owner,
                });
            }
            Status::Running => {
                self.in_hand_sure &= span.kind != SpanKind::RanBackwards;
                let owner = self.owner();
                self.work(owner, span.ms);
            }
            Status::Paused(_) => {
                if let Some(pause) = job.pauses.last_mut() {
                    pause.ms = pause.ms.saturating_add(span.ms);
                }
            }
            Status::NotOpened | Status::Closed { .. } => {}
        }
    }

    const fn owner(&self) -> Owner {
        if self.job.remaining.is_empty() {
            Owner::Nobody
        } else {
            Owner::InHand
        }
    }

    /// Adds (or, when negative, takes away) work.
    fn work(&mut self, owner: Owner, ms: i64) {
        let job = &mut self.job;
        let share = match owner {
            Owner::InHand => &mut job.in_hand_ms,
            Owner::Nobody => &mut job.overhead_ms,
            Owner::Done(at) => match job.done.get_mut(at) {
                Some(done) => &mut done.work_ms,
                None => &mut job.overhead_ms,
            },
        };
        *share = share.saturating_add(ms);
        job.worked_ms = job.worked_ms.saturating_add(ms);
    }

    /// Another step is in hand than before: what was worked on the old one
    /// belongs to no step.
    pub(super) fn let_go(&mut self) {
        let job = &mut self.job;
        job.overhead_ms = job.overhead_ms.saturating_add(job.in_hand_ms);
        job.in_hand_ms = 0;
        self.in_hand_sure = true;
        for gap in &mut self.uncounted {
            if gap.owner == Owner::InHand {
                gap.owner = Owner::Nobody;
            }
        }
    }

    /// The technician says what a span was: of one that was not counted, the
    /// part outside it and the work inside it are counted now; of one that was
    /// counted (the device slept), the idle part is taken away again.
    pub(super) fn answer_gap(&mut self, from_ms: i64, to_ms: i64, work_ms: i64) {
        let long = to_ms.saturating_sub(from_ms).max(0);
        let work = work_ms.clamp(0, long);
        let overlaps = |gap: &Uncounted| from_ms < gap.to_ms && to_ms > gap.from_ms;
        match self.uncounted.iter().rposition(overlaps) {
            Some(at) => {
                let gap = self.uncounted.remove(at);
                let outside = gap.ms.saturating_sub(long).max(0);
                self.work(gap.owner, outside.saturating_add(work).min(gap.ms));
            }
            None => {
                let owner = self.owner();
                let counted = match owner {
                    Owner::InHand => self.job.in_hand_ms,
                    Owner::Nobody | Owner::Done(_) => self.job.overhead_ms,
                };
                self.in_hand_sure = false;
                self.work(owner, -(long - work).min(counted.max(0)));
            }
        }
    }
}
