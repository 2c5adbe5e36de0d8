//! Fasteners out against fasteners in, cables parted against cables joined,
//! hand-backs still owed.
//!
//! Everything is computed from the steps that are done; what happened to single
//! fasteners comes from events. For each set:
//!
//! ```text
//! still out  = undone − done up
//! left over  = spares − lost − stripped, when above zero: a piece too many
//! left empty = lost + stripped − spares, when above zero: a place without one
//! ```
//!
//! A closed unit has nothing still out and nothing left over. Of a fastener that
//! is lost, and of a place that is left empty, a reason is wanted: a screw that
//! nobody looked for may lie in the unit. A reason is an event of its own, or the
//! note of the event that says what happened to the fastener.

use lidoff_catalog::format::{FasteningId, Text};
use lidoff_i18n::{localize, tr};

use super::event::{EventKind, Mishap, Owed};
use super::fold::Job;
use super::planned::{Cable, Fasteners, HandBackPiece};

/// The tally of a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Each set that was touched or will be, in the order of its first step.
    pub sets: Vec<SetTally>,
    /// Cables that are parted.
    pub cables_out: Vec<Cable>,
    /// Reused pieces that are still to be moved to a new part.
    pub hand_backs: Vec<HandBackPiece>,
    /// Reused pieces that were moved to a new part which did not go in.
    pub astray: Vec<HandBackPiece>,
    /// Sets that something was noted of, and that no step of the job touches.
    pub strange: Vec<FasteningId>,
    /// What has a reason, beside the differences of sets.
    pub accounted: Vec<Owed>,
}

/// The tally of one set of fasteners.
#[derive(Clone, Debug, PartialEq)]
pub struct SetTally {
    /// The set.
    pub fasteners: Fasteners,
    /// Taken out.
    pub out: u32,
    /// Put in, new ones included; places left empty are not counted.
    pub back: u32,
    /// Lost.
    pub lost: u32,
    /// Discarded because they could not be used again.
    pub stripped: u32,
    /// Discarded because they are used once.
    pub used_once: u32,
    /// New ones brought in for lost or stripped ones.
    pub spares: u32,
    /// Whether the difference has been explained.
    pub explained: bool,
    /// Of the lost and the stripped, those whose event says why.
    noted: u32,
    done_up: u32,
}

/// Something that keeps the wrap-up from saying "complete".
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unaccounted {
    /// Fasteners of this set.
    Set {
        /// The set.
        fastening: FasteningId,
        /// The difference, as an explanation must name it.
        difference: i32,
        /// In words, with part and well.
        words: String,
    },
    /// Fasteners of this set are gone, or their places are left empty, and nobody
    /// said why.
    Gone {
        /// The set.
        fastening: FasteningId,
        /// How many, as a reason must name it.
        count: u32,
        /// In words, with part and well.
        words: String,
    },
    /// A cable that is still parted.
    Cable(Cable),
    /// A piece that was not moved to the new part.
    HandBack(HandBackPiece),
    /// A piece that was moved to a new part which did not go in.
    Astray(HandBackPiece),
    /// Something happened to fasteners of a set that no step of the job touches.
    NoSuchSet(FasteningId),
}

impl Unaccounted {
    /// What is amiss.
    pub fn words(&self) -> String {
        match self {
            Self::Set { words, .. } | Self::Gone { words, .. } => words.clone(),
            Self::Cable(cable) => tr!(
                "{cable} is not plugged into {port}.",
                cable = localize(&cable.cable),
                port = localize(&cable.port)
            ),
            Self::HandBack(piece) => {
                tr!(
                    "{piece} was not moved to the new part.",
                    piece = localize(&piece.name)
                )
            }
            Self::Astray(piece) => tr!(
                "{piece} is on the new part, which was not fitted. Move it back to the old \
                 part.",
                piece = localize(&piece.name)
            ),
            Self::NoSuchSet(id) => tr!(
                "There is an entry for fasteners “{set}”, but no step undoes them.",
                set = id
            ),
        }
    }

    /// The event by which a reason for it is kept.
    pub fn because(&self, note: Text) -> EventKind {
        match (self, self.owed()) {
            (
                Self::Set {
                    fastening,
                    difference,
                    ..
                },
                _,
            ) => EventKind::Explained {
                fastening: fastening.clone(),
                difference: *difference,
                note,
            },
            (_, Some(owed)) => EventKind::Accounted { owed, note },
            (_, None) => EventKind::Note {
                text: note,
                step: None,
            },
        }
    }

    /// What a reason must name; `None` for a set, whose difference is explained.
    fn owed(&self) -> Option<Owed> {
        Some(match self {
            Self::Set { .. } => return None,
            Self::Gone {
                fastening, count, ..
            } => Owed::Gone {
                fastening: fastening.clone(),
                count: *count,
            },
            Self::Cable(cable) => Owed::Cable(cable.connection.clone()),
            Self::HandBack(piece) | Self::Astray(piece) => Owed::HandBack(piece.id.clone()),
            Self::NoSuchSet(id) => Owed::Strange(id.clone()),
        })
    }
}

impl SetTally {
    const fn new(fasteners: Fasteners) -> Self {
        Self {
            fasteners,
            out: 0,
            back: 0,
            lost: 0,
            stripped: 0,
            used_once: 0,
            spares: 0,
            explained: false,
            noted: 0,
            done_up: 0,
        }
    }

    /// Places that were undone and not done up again; below zero where more
    /// were done up than undone.
    pub fn still_out(&self) -> i64 {
        i64::from(self.out) - i64::from(self.done_up)
    }

    /// Spares beyond what was lost and stripped; below zero where there are
    /// fewer, and so many places stay empty.
    fn over(&self) -> i64 {
        i64::from(self.spares) - i64::from(self.lost) - i64::from(self.stripped)
    }

    /// Pieces too many.
    pub fn left_over(&self) -> i64 {
        self.over().max(0)
    }

    /// Places that stay without a fastener.
    pub fn left_empty(&self) -> i64 {
        (-self.over()).max(0)
    }

    /// Pieces that lie in the well now.
    pub fn in_well(&self) -> i64 {
        if self.fasteners.captive || self.fasteners.single_use {
            0
        } else {
            (self.still_out() + self.over()).max(0)
        }
    }

    /// What is not accounted for: zero at the end of a good job.
    pub fn difference(&self) -> i32 {
        let difference = self.still_out() + self.left_over();
        i32::try_from(difference).unwrap_or(i32::MAX)
    }

    /// Pieces that are lost, or places that stay empty: whichever is more.
    pub fn gone(&self) -> u32 {
        let empty = u32::try_from(self.left_empty()).unwrap_or(u32::MAX);
        self.lost.max(empty)
    }

    /// Kind and well: "lid, black countersunk screw (well 3)".
    pub fn name(&self) -> String {
        let Fasteners {
            name,
            part_name,
            well,
            ..
        } = &self.fasteners;
        match well {
            Some(well) => tr!(
                "{part}, {fastener} (well {well})",
                part = localize(part_name),
                fastener = localize(name),
                well = well
            ),
            None => format!("{}, {}", localize(part_name), localize(name)),
        }
    }

    /// "lid, black countersunk screw (well 3): 1 still out."
    fn words(&self) -> String {
        let mut told = Vec::new();
        match self.still_out() {
            0 => {}
            out if out > 0 => told.push(tr!("{} still out", out)),
            back => told.push(tr!("{} fastened but never undone", -back)),
        }
        if self.left_over() > 0 {
            told.push(tr!("{} left over", self.left_over()));
        }
        format!("{}: {}.", self.name(), told.join(", "))
    }

    /// "lid, black countersunk screw (well 3): 1 lost, 1 place left empty."
    fn gone_words(&self) -> String {
        let mut told = Vec::new();
        if self.lost > 0 {
            told.push(tr!("{} lost", self.lost));
        }
        if self.left_empty() > 0 {
            told.push(tr!(
                "one position left empty" | "{n} positions left empty" % self.left_empty()
            ));
        }
        format!("{}: {}.", self.name(), told.join(", "))
    }
}

impl Tally {
    /// The set of that name.
    pub fn set(&self, fastening: &FasteningId) -> Option<&SetTally> {
        let mut sets = self.sets.iter();
        sets.find(|set| set.fasteners.fastening == *fastening)
    }

    /// Everything that keeps the wrap-up from saying "complete". While the unit
    /// is open that is, of course, all that is out.
    pub fn unaccounted(&self) -> Vec<Unaccounted> {
        let sets = self
            .sets
            .iter()
            .filter(|set| !set.explained && (set.still_out() != 0 || set.left_over() != 0))
            .map(|set| Unaccounted::Set {
                fastening: set.fasteners.fastening.clone(),
                difference: set.difference(),
                words: set.words(),
            });
        let gone = self.sets.iter().filter(|set| set.gone() > set.noted);
        let gone = gone.map(|set| Unaccounted::Gone {
            fastening: set.fasteners.fastening.clone(),
            count: set.gone(),
            words: set.gone_words(),
        });
        let cables = self.cables_out.iter().cloned().map(Unaccounted::Cable);
        let pieces = self.hand_backs.iter().cloned().map(Unaccounted::HandBack);
        let astray = self.astray.iter().cloned().map(Unaccounted::Astray);
        let strange = self.strange.iter().cloned().map(Unaccounted::NoSuchSet);
        let mut all: Vec<Unaccounted> = sets.chain(gone).chain(cables).collect();
        all.extend(pieces.chain(astray).chain(strange));
        all.retain(|one| {
            one.owed()
                .is_none_or(|owed| !self.accounted.contains(&owed))
        });
        all
    }

    /// Places that stay without a fastener, in words: to be told at the wrap-up.
    pub fn left_empty(&self) -> Vec<String> {
        self.sets
            .iter()
            .filter(|set| set.left_empty() > 0)
            .map(|set| {
                let Fasteners {
                    name, part_name, ..
                } = &set.fasteners;
                tr!(
                    "{}, {}: {} missing.",
                    localize(part_name),
                    localize(name),
                    set.left_empty()
                )
            })
            .collect()
    }

    /// The wells that something lies in, with what: by number, then in the order
    /// of the job.
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

/// The tally of a job as it stands.
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
        for cable in &step.unplug {
            tally.cables_out.push(cable.clone());
        }
        for cable in &step.plug {
            let same = |out: &Cable| out.connection == cable.connection;
            if let Some(at) = tally.cables_out.iter().position(same) {
                tally.cables_out.remove(at);
            }
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
        set.explained = job.explained.iter().any(|one| {
            one.fastening == set.fasteners.fastening && one.difference == set.difference()
        });
    }
    tally
}

/// Pieces that were moved to a new part whose swap was given up.
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
