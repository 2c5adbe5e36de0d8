//! What each kind of event changes.

use super::entries::{
    CutShort, DangerNoted, DemandMet, Explanation, Fate, MishapNoted, NoteTaken, Pause, PhotoTaken,
};
use super::job::{Job, Status};
use super::state::FoldState;
use super::undo::undo_target;
use crate::event::{Event, EventKind};
use crate::finding::Irregularity;

impl FoldState<'_> {
    pub(super) fn apply_event(&mut self, at: usize) {
        let events = self.events;
        let event = &events[at];
        if let Some(before) = at.checked_sub(1) {
            self.count_span(&events[before], event, at);
        }
        if let EventKind::Planned { plan, .. } = &event.kind {
            // Include undone plans: a number is never used twice.
            let highest = plan.steps.iter().map(|step| step.number).max();
            self.job.highest_number = self.job.highest_number.max(highest.unwrap_or(0));
        }
        match (self.undone_by[at], &event.kind) {
            (Some(undo), EventKind::Closed { .. }) => self.shut_until = self.shut_until.max(undo),
            (Some(_), _) => {}
            (None, kind) => {
                self.apply(event, at);
                if kind.can_change_plan() {
                    self.job.note_change(event);
                }
            }
        }
        self.job.head = Some((event.id, event.at));
    }

    fn apply(&mut self, event: &Event, at: usize) {
        let job = &mut self.job;
        match &event.kind {
            EventKind::Opened(opened) => self.open(event, opened),
            EventKind::Planned { plan, because } => self.plan(event, at, plan, because),
            EventKind::Done { step } => self.done(event, *step),
            EventKind::Undone { event: target } => match undo_target(self.events, at) {
                Some(target) => self.note_undo(target),
                None => {
                    let event_named = *target;
                    job.add_finding(event.id, Irregularity::NothingToUndo { event: event_named });
                }
            },
            EventKind::Paused { reason, part, note } => {
                if job.require_open(event.id) {
                    job.status = Status::Paused(*reason);
                    job.pauses.push(Pause {
                        reason: *reason,
                        part: part.clone(),
                        note: note.clone(),
                        from: event.at,
                        ms: 0,
                    });
                }
            }
            EventKind::Resumed => {
                if job.require_open(event.id) {
                    let away = job.pauses.last().filter(|_| job.status != Status::Running);
                    let away_ms = away.map(|pause| pause.ms);
                    job.status = Status::Running;
                    if let Some(ms) = away_ms {
                        job.note_interruption(ms);
                    }
                }
            }
            // Its span is counted before it.
            EventKind::AppRestarted(_) => {}
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
            EventKind::DangerFound { what, step, note } => job.dangers.push(DangerNoted {
                event: event.id,
                at: event.at,
                danger: *what,
                step: *step,
                note: note.clone(),
            }),
            EventKind::FittedWith { fitted } => job.fit_with(fitted),
            EventKind::TurnedBack => job.turn_back(),
            EventKind::TaskLeft(task) => job.leave_task(task),
            EventKind::PartUnavailable(part) => job.note_unavailable(part),
            EventKind::Read { step, taken } => job.read(event.id, *step, *taken),
            EventKind::Recorded {
                step,
                record,
                value,
            } => job.record(event.id, *step, record, value),
            EventKind::FailureKept { step, note } => job.failures_kept.push((*step, note.clone())),
            EventKind::Confirmed { step } => job.confirmed.push(*step),
            EventKind::Heeded { hazard, step } => {
                job.keep_standing(hazard);
                job.heeded.push((hazard.clone(), *step));
            }
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
                let begun = (hazard.clone(), job.lasted_ms, job.measured_ms);
                job.waits_begun.push(begun);
            }
            EventKind::WaitCutShort { wait, step, why } => job.cut_short.push(CutShort {
                wait: wait.clone(),
                step: *step,
                why: why.clone(),
            }),
            EventKind::PartlyDone {
                step,
                fastening,
                count,
            } => job.note_partly_done(event.id, *step, fastening, *count),
            EventKind::FastenerLost(mishap) => {
                job.lost.push(mishap.clone());
                job.mishaps
                    .push(MishapNoted::new(event, Fate::Lost, mishap));
            }
            EventKind::FastenerStripped(mishap) => {
                job.stripped.push(mishap.clone());
                job.mishaps
                    .push(MishapNoted::new(event, Fate::Stripped, mishap));
            }
            EventKind::SpareUsed(mishap) => {
                job.spares.push(mishap.clone());
                job.mishaps.push(MishapNoted::new(event, Fate::New, mishap));
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
            EventKind::OldPartHandled { part, duty } => {
                job.handled.push((event.id, part.clone(), *duty));
            }
            EventKind::Note { text, step } => job.notes.push(NoteTaken::new(event, text, *step)),
            EventKind::CatalogWrong { text, step } => {
                job.catalog_notes.push(NoteTaken::new(event, text, *step));
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
                if job.require_open(event.id) {
                    job.status = Status::Closed {
                        outcome: *outcome,
                        note: note.clone(),
                    };
                }
            }
            EventKind::Unknown(_) => job.add_finding(event.id, Irregularity::UnknownEvent),
        }
    }

    pub(super) fn finish(mut self) -> Job {
        for gap in &self.uncounted {
            let irregularity = Irregularity::GapUnanswered { ms: gap.ms };
            self.job.add_finding(gap.event, irregularity);
        }
        for (event, irregularity) in self.job.limit_overruns() {
            self.job.add_finding(event, irregularity);
        }
        self.job
    }
}
