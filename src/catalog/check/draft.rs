//! A catalog that has not passed its checks yet, with the file position of everything
//! that a check may report.

use super::path::Path;
use crate::model::{Catalog, OpIx, PartIx, ResolvedCondition, ServiceIx};

/// The model before it has passed the checks.
pub(super) struct Draft {
    /// The model. Where an id named nothing, an index in it is a stand-in.
    pub(super) catalog: Catalog,
    /// Where each step is, in the order of the model's steps.
    pub(super) steps: Vec<StepPlace>,
    /// Every condition.
    pub(super) conditions: Vec<ConditionPlace>,
    /// Every atom of every formula.
    pub(super) atoms: Vec<AtomPlace>,
    /// Every operation that a service is ordered against.
    pub(super) orders: Vec<OrderPlace>,
    /// Where each part is.
    pub(super) parts: Vec<Path>,
    /// Where each fastening is.
    pub(super) fastenings: Vec<Path>,
    /// Where each connection is.
    pub(super) connections: Vec<Path>,
}

/// Where a step is.
#[derive(Clone, Debug)]
pub(super) struct StepPlace {
    pub(super) path: Path,
    /// The list that it stands in.
    pub(super) list: StepList,
    /// Its place in that list, from 0.
    pub(super) nth: usize,
    /// What the step is under besides its own condition.
    pub(super) under: Vec<ResolvedCondition>,
}

/// A list of steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum StepList {
    MakeSafe,
    Leg(PartIx, LegName, Direction),
    Swap(PartIx),
    /// The hand-back of that number.
    HandBack(PartIx, usize),
    /// What is done to close the unit without the part.
    LeaveOut(PartIx),
    Reseat(PartIx),
    Inspect(PartIx),
    Service(ServiceIx),
    /// Checks after a swap.
    ProveSwap(PartIx),
    /// Checks after reseating.
    ProveReseat(PartIx),
    Start,
    Prove,
    HandOver,
}

/// Which leg of a part's way out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum LegName {
    Ease,
    TakeOff,
    /// The other way off of that number.
    OtherWay(u16),
    BenchOff,
}

impl LegName {
    /// Where it is written in the entry of its part or source.
    pub(super) fn path(self, entry: &Path, is_source: bool) -> Path {
        match (self, is_source) {
            (Self::Ease, _) => entry.field("ease"),
            (Self::TakeOff, false) => entry.field("take_off"),
            (Self::TakeOff, true) => entry.field("isolation"),
            (Self::OtherWay(nth), false) => entry.field("other_ways").nth(nth.into()),
            (Self::OtherWay(nth), true) => entry.field("other_isolations").nth(nth.into()),
            (Self::BenchOff, _) => entry.field("bench_off"),
        }
    }
}

/// Which way along a leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Direction {
    Out,
    Back,
}

/// Where a condition is.
pub(super) struct ConditionPlace {
    pub(super) path: Path,
    pub(super) condition: ResolvedCondition,
    /// What it is under: the conditions around it.
    pub(super) under: Vec<ResolvedCondition>,
    /// The list of steps that it governs, and the place in it from 0; none where
    /// it governs more than that.
    pub(super) governs: Option<(StepList, usize)>,
}

/// Where an atom of a formula is.
pub(super) struct AtomPlace {
    pub(super) path: Path,
    pub(super) atom: Atom,
    pub(super) about: PartIx,
    pub(super) owner: FormulaOwner,
}

/// What an atom says of its part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Atom {
    Eased,
    Off,
    Clear,
    InPlace,
}

/// The owner of a formula.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum FormulaOwner {
    Leg(PartIx, LegName),
    /// What a leg asks for besides on the way back.
    Refit(PartIx, LegName),
    Inspect(PartIx),
    Service(ServiceIx),
    /// What must hold while a face is up.
    Face,
}

/// An operation that a service is ordered against.
pub(super) struct OrderPlace {
    pub(super) path: Path,
    pub(super) service: ServiceIx,
    pub(super) other: OpIx,
    /// The service comes before the other; else after it.
    pub(super) before: bool,
}
