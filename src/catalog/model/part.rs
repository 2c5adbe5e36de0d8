//! Parts, their legs, the tasks on them, and service operations.

use super::condition::{ResolvedCondition, ResolvedFormula};
use super::index::{ConnectionIx, FasteningIx, PartIx, ServiceIx, SpareIx, StepIx};
use crate::format::{self, HandBackId, PartId, ReachedState, SourceKind, Text};

/// A part, or an energy source in the form of one: *fitted* while it is live, *off* while it
/// is isolated. Taking it off isolates it, putting it back makes it live.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Its id in the file.
    pub id: PartId,
    /// Its name for the technician.
    pub name: Text,
    /// What it does, where it sits, how to know it.
    pub about: Option<Text>,
    /// The kind of part, where the unit has several of it.
    pub like: Option<Text>,
    /// Mass, kg, where lifting it matters.
    pub mass_kg: Option<f64>,
    /// The units that have it; absent if all have it.
    pub when: ResolvedCondition,
    /// The part that it comes away with.
    pub rides_on: Option<PartIx>,
    /// The parts that come away with it.
    pub riders: Vec<PartIx>,
    /// Its fasteners.
    pub fastenings: Vec<FasteningIx>,
    /// Its cables.
    pub connections: Vec<ConnectionIx>,
    /// What sets an energy source apart; `None` for a part.
    pub source: Option<Source>,
    /// Fitted → eased.
    pub ease: Option<Leg>,
    /// Eased (or, without an easing leg, fitted) → off, in the unit.
    pub take_off: Option<Leg>,
    /// Other ways from the same state to off, in the unit.
    pub other_ways: Vec<Leg>,
    /// Fitted → off, on the bench, while its carrier is off.
    pub bench_off: Option<Leg>,
    /// How it is replaced.
    pub swap: Option<Swap>,
    /// What is done to close the unit without it; empty where that is never done.
    pub leave_out: Vec<StepIx>,
    /// The sources that must be isolated for that.
    pub leave_out_needs: ResolvedFormula,
    /// How it is reseated.
    pub reseat: Option<Reseat>,
    /// How it is inspected.
    pub inspect: Option<Inspect>,
}

impl Part {
    /// Every leg, each once.
    pub fn legs(&self) -> impl Iterator<Item = &Leg> {
        let in_place = self.ease.iter().chain(&self.take_off);
        in_place.chain(&self.other_ways).chain(&self.bench_off)
    }

    /// The ways off in the unit.
    pub fn ways_in_place(&self) -> impl Iterator<Item = &Leg> {
        self.take_off.iter().chain(&self.other_ways)
    }

    /// Whether it is an energy source.
    pub const fn is_source(&self) -> bool {
        self.source.is_some()
    }
}

/// What sets an energy source apart from a part.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// The kind of energy.
    pub kind: SourceKind,
    /// The sources that feed it, by id.
    pub fed_by: Vec<PartId>,
    /// When it must not be made live again, and what to do instead.
    pub condemned: Option<(ResolvedCondition, Text)>,
    /// The power line while it is isolated.
    pub isolated: Text,
    /// The power line while it is live.
    pub live: Text,
    /// After a pause of this many minutes the readings of its isolation are asked for again.
    pub verify_after_minutes: Option<u16>,
}

/// One leg out, and the same leg back.
#[derive(Clone, Debug, PartialEq)]
pub struct Leg {
    /// What must be open, out and back.
    pub needs: ResolvedFormula,
    /// What must hold besides for the way back.
    pub refit_needs: ResolvedFormula,
    /// The way out.
    pub out: Vec<StepIx>,
    /// The way back.
    pub back: Vec<StepIx>,
}

/// How a part is replaced.
#[derive(Clone, Debug, PartialEq)]
pub struct Swap {
    /// The spare to bring.
    pub spare: Option<SpareIx>,
    /// Riders that move to the new part.
    pub moves_over: Vec<PartIx>,
    /// The sources that must be isolated for it.
    pub needs: ResolvedFormula,
    /// Unpack and compare, make ready.
    pub steps: Vec<StepIx>,
    /// Reused pieces that move.
    pub hand_backs: Vec<HandBack>,
    /// Service operations that it brings with it.
    pub services: Vec<ServiceIx>,
    /// Checks after.
    pub prove: Vec<StepIx>,
}

/// A reused piece that moves to the new part.
#[derive(Clone, Debug, PartialEq)]
pub struct HandBack {
    /// Its id in the file.
    pub id: HandBackId,
    /// Its name for the technician.
    pub name: Text,
    /// Where it must be moved at all.
    pub when: ResolvedCondition,
    /// Off the old part, onto the new.
    pub steps: Vec<StepIx>,
}

/// How a part is reseated.
#[derive(Clone, Debug, PartialEq)]
pub struct Reseat {
    /// How far the part must come.
    pub at: ReachedState,
    /// The sources that must be isolated for it.
    pub needs: ResolvedFormula,
    /// What is done then.
    pub steps: Vec<StepIx>,
    /// Checks after.
    pub prove: Vec<StepIx>,
}

/// How a part is inspected.
#[derive(Clone, Debug, PartialEq)]
pub struct Inspect {
    /// When the part can be seen.
    pub needs: ResolvedFormula,
    /// What is looked at.
    pub steps: Vec<StepIx>,
}

/// A service operation.
#[derive(Clone, Debug, PartialEq)]
pub struct Service {
    /// The entry in the file.
    pub entry: format::Service,
    /// The units that have it; absent if all have it.
    pub when: ResolvedCondition,
    /// What must be open (or in place) while it runs.
    pub needs: ResolvedFormula,
    /// What it must come before.
    pub before: Vec<OpIx>,
    /// What it must come after.
    pub after: Vec<OpIx>,
    /// What is done.
    pub steps: Vec<StepIx>,
}

/// An operation that a service is ordered against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OpIx {
    /// Taking this part off.
    TakeOff(PartIx),
    /// Putting this part back.
    PutBack(PartIx),
    /// Swapping this part.
    Swap(PartIx),
    /// This service operation.
    Service(ServiceIx),
}
