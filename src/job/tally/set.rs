//! The tally of one set of fasteners.

use lidoff_i18n::{localize, tr};

use crate::planned::Fasteners;

/// The tally of one set of fasteners.
#[derive(Clone, Debug, PartialEq)]
pub struct SetTally {
    /// The set.
    pub fasteners: Fasteners,
    /// Taken out.
    pub out: u32,
    /// Put in, including new ones; empty positions are not counted.
    pub back: u32,
    pub lost: u32,
    /// Discarded because they were damaged.
    pub stripped: u32,
    /// Discarded because they are single-use.
    pub used_once: u32,
    /// New ones fitted for lost or stripped ones.
    pub spares: u32,
    /// Whether the difference has been explained.
    pub explained: bool,
    /// Of the lost and the stripped, those whose event says why.
    pub(super) noted: u32,
    pub(super) done_up: u32,
}

impl SetTally {
    pub(super) const fn new(fasteners: Fasteners) -> Self {
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

    /// Positions undone and not done up again; negative if more were done up than undone.
    pub fn still_out(&self) -> i64 {
        i64::from(self.out) - i64::from(self.done_up)
    }

    /// Spares beyond the lost and stripped ones; negative if there are fewer, which leaves
    /// that many positions empty.
    fn over(&self) -> i64 {
        i64::from(self.spares) - i64::from(self.lost) - i64::from(self.stripped)
    }

    /// Fasteners left over.
    pub fn left_over(&self) -> i64 {
        self.over().max(0)
    }

    /// Positions left without a fastener.
    pub fn left_empty(&self) -> i64 {
        (-self.over()).max(0)
    }

    /// Fasteners in the well now.
    pub fn in_well(&self) -> i64 {
        if self.fasteners.captive || self.fasteners.single_use {
            0
        } else {
            (self.still_out() + self.over()).max(0)
        }
    }

    /// The number not accounted for: zero at the end of a good job.
    pub fn difference(&self) -> i32 {
        let difference = self.still_out() + self.left_over();
        i32::try_from(difference).unwrap_or(i32::MAX)
    }

    /// Lost fasteners or empty positions, whichever is more.
    pub fn gone(&self) -> u32 {
        let empty = u32::try_from(self.left_empty()).unwrap_or(u32::MAX);
        self.lost.max(empty)
    }

    /// How many of `count` fasteners of a refit there are to fit.
    pub fn to_fit(&self, count: u16) -> i64 {
        (i64::from(count) - self.left_empty()).max(0)
    }

    /// What keeps a refit from fitting all of them: "Fit 3 of 4: one is lost."
    pub fn describe_refit(&self, count: u16) -> Option<String> {
        let empty = self.left_empty();
        if empty <= 0 {
            let new = (self.spares > 0).then_some(self.spares);
            return new.map(|new| tr!("One of them is new." | "{n} of them are new." % new));
        }
        let mut why = Vec::new();
        if self.lost > 0 {
            why.push(tr!("one is lost" | "{n} are lost" % self.lost));
        }
        if self.stripped > 0 {
            why.push(tr!("one is stripped" | "{n} are stripped" % self.stripped));
        }
        let fit = self.to_fit(count);
        let why = why.join(", ");
        Some(tr!("Fit {fit} of {count}: {why}.", fit, count, why))
    }

    /// Kind and well: "lid, black countersunk screw (well 3)".
    pub fn name(&self) -> String {
        let part = localize(&self.fasteners.part_name);
        let fastener = self.fasteners.describe_kind();
        match self.fasteners.well {
            Some(well) => tr!("{part}, {fastener} (well {well})", part, fastener, well),
            None => format!("{part}, {fastener}"),
        }
    }

    /// "lid, black countersunk screw (well 3): 1 still out."
    pub(super) fn describe_difference(&self) -> String {
        let mut counts = Vec::new();
        match self.still_out() {
            0 => {}
            out if out > 0 => counts.push(tr!("{} still out", out)),
            back => counts.push(tr!("{} fastened but never undone", -back)),
        }
        if self.left_over() > 0 {
            counts.push(tr!("{} left over", self.left_over()));
        }
        format!("{}: {}.", self.name(), counts.join(", "))
    }

    /// "lid, black countersunk screw (well 3): 1 lost, 1 place left empty."
    pub(super) fn describe_gone(&self) -> String {
        let mut counts = Vec::new();
        if self.lost > 0 {
            counts.push(tr!("{} lost", self.lost));
        }
        if self.left_empty() > 0 {
            counts.push(tr!(
                "one position left empty" | "{n} positions left empty" % self.left_empty()
            ));
        }
        format!("{}: {}.", self.name(), counts.join(", "))
    }
}
