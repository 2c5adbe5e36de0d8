//! The tally of a whole job.

use lidoff_catalog::format::FasteningId;
use lidoff_i18n::{localize, tr};

use super::set::SetTally;
use super::unaccounted::Unaccounted;
use crate::event::{Mishap, Owed};
use crate::fold::{Job, TaskProgress, TaskState};
use crate::planned::{Cable, Fasteners, HandBackPiece, OldPart, PlannedStep};
use crate::refs::OpRef;

/// The tally of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// All sets that the job has touched or will touch, in the order of their first step.
    pub sets: Vec<SetTally>,
    /// Cables that are unplugged.
    pub cables_out: Vec<Cable>,
    /// Reused pieces that are still to be moved to a new part.
    pub hand_backs: Vec<HandBackPiece>,
    /// Reused pieces that were moved to a new part which did not go in.
    pub astray: Vec<HandBackPiece>,
    /// Sets with an entry that no step of the job touches.
    pub strange: Vec<FasteningId>,
    /// What was not done yet with old parts.
    pub old_parts: Vec<OldPart>,
    /// Everything with a reason, other than differences of sets.
    pub accounted: Vec<Owed>,
}

impl Tally {
    /// The set with this id.
    pub fn set(&self, fastening: &FasteningId) -> Option<&SetTally> {
        let mut sets = self.sets.iter();
        sets.find(|set| set.fasteners.fastening == *fastening)
    }

    /// Everything that keeps the wrap-up from saying "complete". While the unit is open,
    /// that includes everything that is out.
    pub fn unaccounted(&self) -> Vec<Unaccounted> {
        let sets = self
            .sets
            .iter()
            .filter(|set| !set.explained && (set.still_out() != 0 || set.left_over() != 0))
            .map(|set| Unaccounted::Set {
                fastening: set.fasteners.fastening.clone(),
                difference: set.difference(),
                words: set.describe_difference(),
            });
        let gone = self.sets.iter().filter(|set| set.gone() > set.noted);
        let gone = gone.map(|set| Unaccounted::Gone {
            fastening: set.fasteners.fastening.clone(),
            count: set.gone(),
            words: set.describe_gone(),
        });
        let cables = self.cables_out.iter().cloned().map(Unaccounted::Cable);
        let pieces = self.hand_backs.iter().cloned().map(Unaccounted::HandBack);
        let astray = self.astray.iter().cloned().map(Unaccounted::Astray);
        let strange = self.strange.iter().cloned().map(Unaccounted::NoSuchSet);
        let mut all: Vec<Unaccounted> = sets.chain(gone).chain(cables).collect();
        let old = self.old_parts.iter().cloned().map(Unaccounted::OldPart);
        all.extend(pieces.chain(astray).chain(strange).chain(old));
        all.retain(|one| {
            one.owed()
                .is_none_or(|owed| !self.accounted.contains(&owed))
        });
        all
    }

    /// Positions left without a fastener, as text for the wrap-up.
    pub fn left_empty(&self) -> Vec<String> {
        self.sets
            .iter()
            .filter(|set| set.left_empty() > 0)
            .map(|set| {
                tr!(
                    "{}, {}: {} missing.",
                    localize(&set.fasteners.part_name),
                    set.fasteners.describe_kind(),
                    set.left_empty()
                )
            })
            .collect()
    }

    /// The wells in use, with their contents: by number, then in the order of the job.
    pub fn wells(&self) -> Vec<(u16, &SetTally)> {
        let filled = self.sets.iter().filter(|set| set.in_well() > 0);
        let mut wells: Vec<_> = filled
            .filter_map(|set| set.fasteners.well.map(|well| (well, set)))
            .collect();
        lidoff_catalog::insertion_sort(&mut wells, |(one, _), (next, _)| one > next);
        wells
    }

    fn entry(&mut self, fasteners: &Fasteners) -> &mut SetTally {
        let same = |set: &SetTally| set.fasteners.fastening == fasteners.fastening;
        let at = self.sets.iter().position(same).unwrap_or_else(|| {
            self.sets.push(SetTally::new(fasteners.clone()));
            self.sets.len() - 1
        });
        &mut self.sets[at]
    }

    fn note(&mut self, mishaps: &[Mishap], column: impl Fn(&mut SetTally) -> &mut u32) {
        for mishap in mishaps {
            let mut sets = self.sets.iter_mut();
            match sets.find(|set| set.fasteners.fastening == mishap.fastening) {
                Some(set) => {
                    let count = column(set);
                    *count = count.saturating_add(mishap.count.into());
                }
                None => self.strange.push(mishap.fastening.clone()),
            }
        }
    }
}

impl Job {
    /// Whether the job can be closed as complete: nothing is left to do or to account for.
    pub fn can_complete(&self) -> bool {
        let is_left =
            |task: &TaskState| matches!(task.state, TaskProgress::Open | TaskProgress::LeftOpen);
        self.remaining.is_empty()
            && !self.tasks.iter().any(is_left)
            && tally(self).unaccounted().is_empty()
            && self.failed().next().is_none()
            && self.left_out().next().is_none()
    }
}

/// The current tally of a job.
pub fn tally(job: &Job) -> Tally {
    let mut tally = Tally::default();
    for done in &job.done {
        let step = &done.step;
        for fasteners in &step.undo {
            let set = tally.entry(fasteners);
            set.out = set.out.saturating_add(fasteners.count.into());
        }
        for fasteners in &step.redo {
            let set = tally.entry(fasteners);
            set.done_up = set.done_up.saturating_add(fasteners.count.into());
        }
        if !stays_unplugged(job, step) {
            tally.cables_out.extend(step.unplug.iter().cloned());
        }
        for cable in &step.plug {
            let same = |out: &Cable| out.connection == cable.connection;
            if let Some(at) = tally.cables_out.iter().position(same) {
                tally.cables_out.remove(at);
            }
        }
    }
    for partly in &job.partly_done {
        let sets = partly.step.undo.iter().chain(&partly.step.redo);
        for fasteners in sets.filter(|set| set.fastening == partly.fastening) {
            let set = tally.entry(fasteners);
            let column = if partly.is_out() {
                &mut set.out
            } else {
                &mut set.done_up
            };
            *column = column.saturating_add(partly.count.into());
        }
    }
    for step in &job.remaining {
        for fasteners in step.undo.iter().chain(&step.redo) {
            tally.entry(fasteners);
        }
        if let Some(piece) = &step.hand_back
            && !tally.hand_backs.contains(piece)
        {
            tally.hand_backs.push(piece.clone());
        }
    }
    tally.astray = astray(job);
    let open = job.duties().filter(|old| job.handled(old).is_none());
    tally.old_parts = open.cloned().collect();
    tally.accounted = job.accounted.iter().map(|(owed, _)| owed.clone()).collect();
    tally.note(&job.lost, |set| &mut set.lost);
    tally.note(&job.stripped, |set| &mut set.stripped);
    tally.note(&job.spares, |set| &mut set.spares);
    for set in &mut tally.sets {
        let empty = u32::try_from(set.left_empty()).unwrap_or(u32::MAX);
        set.back = set.done_up.saturating_sub(empty);
        if set.fasteners.single_use {
            set.used_once = set.out;
        }
        let of_set = |one: &&Mishap| one.fastening == set.fasteners.fastening;
        let gone = job.lost.iter().chain(&job.stripped).filter(of_set);
        let noted = gone.filter(|one| !one.note.trim().is_empty());
        set.noted = noted.fold(0, |sum, one| sum.saturating_add(one.count.into()));
        let is_left_out = job.left_out().any(|part| *part == set.fasteners.part);
        set.explained = is_left_out
            || job.explained.iter().any(|one| {
                one.fastening == set.fasteners.fastening && one.difference == set.difference()
            });
    }
    tally
}

/// Whether this step unplugs what is not plugged in again: a part that was left out, or a
/// source of a unit that is out of use.
fn stays_unplugged(job: &Job, step: &PlannedStep) -> bool {
    let Some(part) = step.op.as_ref().and_then(OpRef::part) else {
        return false;
    };
    let is_source = job.sources.iter().any(|source| source.id == *part);
    let mut left_out = job.left_out();
    left_out.any(|left_out| left_out == part || is_source)
}

/// Hand-backs moved to a new part that was not fitted.
fn astray(job: &Job) -> Vec<HandBackPiece> {
    let mut astray: Vec<HandBackPiece> = Vec::new();
    for done in &job.done {
        let (Some(piece), Some(op)) = (&done.step.hand_back, &done.step.op) else {
            continue;
        };
        let finished = job.done.iter().any(|one| one.step.completes.contains(op));
        let still = job
            .remaining
            .iter()
            .any(|step| step.op.as_ref() == Some(op));
        if !finished && !still && !astray.contains(piece) {
            astray.push(piece.clone());
        }
    }
    astray
}
