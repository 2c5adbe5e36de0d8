//! Event by event: what each changes.

use super::job::{Job, Status};
use super::noted::{
    CutShort, DemandMet, Explanation, Fate, MishapNoted, NoteTaken, Pause, PhotoTaken,
};
use super::spans::Uncounted;
use super::undo::{undo_target, undone_by};
use crate::event::{Event, EventKind};
use crate::finding::Trouble;

pub(super) struct Folding<'a> {
    pub(super) events: &'a [Event],
    pub(super) undone_by: Vec<Option<usize>>,
    pub(super) job: Job,
    /// Spans that end at or before this place are no work: the job was closed,
    /// and opened again by undoing that.
    pub(super) shut_until: usize,
    pub(super) in_hand_sure: bool,
    pub(super) uncounted: Vec<Uncounted>,
}

impl<'a> Folding<'a> {
    pub(super) fn new(events: &'a [Event]) -> Self {
        Self {
            events,
            undone_by: undone_by(events),
            job: Job::default(),
            shut_until: 0,
            in_hand_sure: true,
            uncounted: Vec::new(),
        }
    }

    pub(super) fn take(&mut self, at: usize) {
        let events = self.events;
        let event = &events[at];
        if let Some(before) = at.checked_sub(1) {
            self.count(&events[before], event, at);
        }
        if let EventKind::Planned { plan, .. } = &event.what {
            // Also of plans that were undone: a number is used once.
            let highest = plan.steps.iter().map(|step| step.number).max();
            self.job.numbered = self.job.numbered.max(highest.unwrap_or(0));
        }
        match (self.undone_by[at], &event.what) {
            (Some(undo), EventKind::Closed { .. }) => self.shut_until = self.shut_until.max(undo),
            (Some(_), _) => {}
            (None, _) => self.apply(event, at),
        }
        self.job.head = Some((event.id, event.at));
    }

    fn apply(&mut self, event: &Event, at: usize) {
        let job = &mut self.job;
        match &event.what {
            EventKind::Opened(opened) => self.open(event, opened),
            EventKind::Planned { plan, because } => self.plan(event, at, plan, because),
            EventKind::Done { step } => self.done(event, *step),
            EventKind::Undone { event: target } => {
                if undo_target(self.events, at).is_none() {
                    let event_named = *target;
                    job.find(event.id, Trouble::NothingToUndo { event: event_named });
                }
            }
            EventKind::Paused { reason, note } => {
                if job.is_open(event.id) {
                    job.status = Status::Paused(*reason);
                    job.pauses.push(Pause {
                        reason: *reason,
                        note: note.clone(),
                        from: event.at,
                        ms: 0,
                    });
                }
            }
            EventKind::Resumed => {
                if job.is_open(event.id) {
                    job.status = Status::Running;
                }
            }
            EventKind::Gap {
                from_ms,
                to_ms,
                work_ms,
            } => self.answer_gap(*from_ms, *to_ms, *work_ms),
            EventKind::Answered { question, answer } => job.answer(question, answer),
            EventKind::TaskAdded(task) => job.add_task(task, event.id),
            EventKind::TaskDropped(task) => job.drop_task(task),
            EventKind::Blocked(way) => job.block(way),
            EventKind::Unblocked(op) => job.unblock(op),
            EventKind::FoundBroken(part) => job.found_broken(part),
            EventKind::FittedWith { fitted } => job.fit_with(fitted),
            EventKind::TurnedBack => job.turn_back(),
            EventKind::TaskLeft(task) => job.leave_task(task),
            EventKind::NotToHand(part) => job.lacks(part),
            EventKind::Read { step, taken } => job.read(event.id, *step, *taken),
            EventKind::FailureKept { step, note } => job.failures_kept.push((*step, note.clone())),
            EventKind::Confirmed { step } => job.confirmed.push(*step),
            EventKind::Heeded { hazard, step } => job.heeded.push((hazard.clone(), *step)),
            EventKind::DemandMet {
                hazard,
                step,
                demand,
            } => job.met.push(DemandMet {
                event: event.id,
                hazard: hazard.clone(),
                step: *step,
                demand: *demand,
            }),
            EventKind::WaitBegun { hazard } => {
                job.waits_begun.push((hazard.clone(), job.lasted_ms))
            }
            EventKind::WaitCutShort { wait, step, why } => job.cut_short.push(CutShort {
                wait: wait.clone(),
                step: *step,
                why: why.clone(),
            }),
            EventKind::FastenerLost(mishap) => {
                job.lost.push(mishap.clone());
                job.mishaps.push(MishapNoted::of(event, Fate::Lost, mishap));
            }
            EventKind::FastenerStripped(mishap) => {
                job.stripped.push(mishap.clone());
                job.mishaps
                    .push(MishapNoted::of(event, Fate::Stripped, mishap));
            }
            EventKind::SpareUsed(mishap) => {
                job.spares.push(mishap.clone());
                job.mishaps.push(MishapNoted::of(event, Fate::New, mishap));
            }
            EventKind::Explained {
                fastening,
                difference,
                note,
            } => job.explained.push(Explanation {
                fastening: fastening.clone(),
                difference: *difference,
                note: note.clone(),
            }),
            EventKind::Accounted { owed, note } => job.accounted.push((owed.clone(), note.clone())),
            EventKind::Note { text, step } => job.notes.push(NoteTaken::of(event, text, *step)),
            EventKind::CatalogWrong { text, step } => {
                job.catalog_notes.push(NoteTaken::of(event, text, *step));
            }
            EventKind::PhotoTaken(photo) => job.photos.push(PhotoTaken {
                event: event.id,
                at: event.at,
                photo: photo.clone(),
            }),
            EventKind::LeaveBy { at_ms } => job.leave_by_ms = *at_ms,
            EventKind::HandedOver { to, note } => {
                job.handed_over = Some((to.clone(), note.clone()))
            }
            EventKind::Closed { outcome, note } => {
                if job.is_open(event.id) {
                    job.status = Status::Closed {
                        outcome: *outcome,
                        note: note.clone(),
                    };
                }
            }
        }
    }

    pub(super) fn finish(mut self) -> Job {
        for gap in &self.uncounted {
            let trouble = Trouble::GapUnanswered { ms: gap.ms };
            self.job.find(gap.event, trouble);
        }
        self.job
    }
}
