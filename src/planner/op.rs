//! Operations: the blocks of steps that a plan puts in order.

use lidoff_catalog::format::ReachedState;
use lidoff_catalog::model::{Catalog, Leg, Part, PartIx, ServiceIx, StepIx};
use lidoff_catalog::setup::Setup;

/// Which way a part comes off or goes back.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Way {
    /// In the unit; the carrier of a rider is in place.
    InPlace,
    /// In the unit, by the other way of that number in the catalog.
    Other(u8),
    /// On the bench; the carrier is off.
    Bench,
}

/// An operation: an ordered list of steps that is never split.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Op {
    /// Fitted → eased.
    Ease(PartIx),
    /// Eased (or fitted, where there is no easing leg, or on the bench) → off.
    TakeOff(PartIx, Way),
    /// Replace the part while it is off; hand-backs move over to the new part.
    Swap(PartIx),
    /// Reseat the part, which is as far out as the catalog says.
    Reseat(PartIx),
    /// Inspect the part where it can be seen.
    Inspect(PartIx),
    /// Run a service operation.
    Serve(ServiceIx),
    /// Leave the part out for good, once it is off.
    LeaveOut(PartIx),
    /// Off → eased where there is an easing leg and it is done in place, else → fitted.
    PutBack(PartIx, Way),
    /// Eased → fitted.
    Settle(PartIx),
}

/// The part of a job that an operation belongs to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Phase {
    /// Ways out: easing and taking off.
    StripDown,
    /// Task work.
    Fit,
    /// Ways back: putting back and settling.
    Refit,
}

impl Way {
    /// The ways of a part, off and back: those in the unit first.
    pub fn all_of(part: &Part) -> impl Iterator<Item = Self> + '_ {
        let in_place = part.take_off.iter().map(|_| Self::InPlace);
        let others = (0..).zip(&part.other_ways).map(|(nth, _)| Self::Other(nth));
        let bench = part.bench_off.iter().map(|_| Self::Bench);
        in_place.chain(others).chain(bench)
    }

    /// The leg of a part that this way is.
    pub fn leg(self, part: &Part) -> Option<&Leg> {
        match self {
            Self::InPlace => part.take_off.as_ref(),
            Self::Other(nth) => part.other_ways.get(usize::from(nth)),
            Self::Bench => part.bench_off.as_ref(),
        }
    }
}

impl Op {
    pub const fn phase(self) -> Phase {
        match self {
            Self::Ease(_) | Self::TakeOff(..) => Phase::StripDown,
            Self::Swap(_)
            | Self::Reseat(_)
            | Self::Inspect(_)
            | Self::Serve(_)
            | Self::LeaveOut(_) => Phase::Fit,
            Self::PutBack(..) | Self::Settle(_) => Phase::Refit,
        }
    }

    /// The part that it is done to; `None` for a service operation.
    pub const fn part(self) -> Option<PartIx> {
        match self {
            Self::Ease(part)
            | Self::TakeOff(part, _)
            | Self::Swap(part)
            | Self::Reseat(part)
            | Self::Inspect(part)
            | Self::LeaveOut(part)
            | Self::PutBack(part, _)
            | Self::Settle(part) => Some(part),
            Self::Serve(_) => None,
        }
    }

    /// The leg that it opens or closes; `None` for task work, and for a leg that the
    /// catalog does not have.
    pub fn leg(self, catalog: &Catalog) -> Option<&Leg> {
        match self {
            Self::Ease(part) | Self::Settle(part) => catalog.part(part).ease.as_ref(),
            Self::TakeOff(part, way) | Self::PutBack(part, way) => way.leg(catalog.part(part)),
            Self::Swap(_)
            | Self::Reseat(_)
            | Self::Inspect(_)
            | Self::Serve(_)
            | Self::LeaveOut(_) => None,
        }
    }

    /// Its steps on this unit, in order. Steps whose condition does not hold are left out.
    pub fn steps(self, catalog: &Catalog, setup: &Setup) -> Vec<StepIx> {
        let all: Vec<StepIx> = match self {
            Self::Ease(_) | Self::TakeOff(..) => self
                .leg(catalog)
                .map(|leg| leg.out.clone())
                .unwrap_or_default(),
            Self::PutBack(..) | Self::Settle(_) => self
                .leg(catalog)
                .map(|leg| leg.back.clone())
                .unwrap_or_default(),
            Self::Swap(part) => swap_steps(catalog, setup, part),
            Self::Reseat(part) => catalog
                .part(part)
                .reseat
                .as_ref()
                .map(|how| how.steps.clone())
                .unwrap_or_default(),
            Self::Inspect(part) => catalog
                .part(part)
                .inspect
                .as_ref()
                .map(|how| how.steps.clone())
                .unwrap_or_default(),
            Self::Serve(service) => catalog.service(service).steps.clone(),
            Self::LeaveOut(part) => catalog.part(part).leave_out.clone(),
        };
        all.into_iter()
            .filter(|step| setup.holds(&catalog.step(*step).when))
            .collect()
    }

    /// How far the part must be out for reseating it.
    pub fn reseat_at(catalog: &Catalog, part: PartIx) -> Option<ReachedState> {
        catalog.part(part).reseat.as_ref().map(|how| how.at)
    }
}

fn swap_steps(catalog: &Catalog, setup: &Setup, part: PartIx) -> Vec<StepIx> {
    let Some(swap) = &catalog.part(part).swap else {
        return Vec::new();
    };
    let moved = swap
        .hand_backs
        .iter()
        .filter(|piece| setup.holds(&piece.when));
    swap.steps
        .iter()
        .chain(moved.flat_map(|piece| &piece.steps))
        .copied()
        .collect()
}
