//! Steps, and the fastenings, hazards and waits that they name.

use super::condition::ResolvedCondition;
use super::index::{
    ConnectionIx, ConsumableIx, FaceIx, FastenerIx, FasteningIx, HazardIx, PartIx, QuestionIx,
    ToolIx, WaitIx,
};
use crate::format::{self, Fastening, Hazard, Text};

/// A step with resolved references.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// The entry in the file.
    pub entry: format::Step,
    /// The units that it is done on; absent for all units.
    pub when: ResolvedCondition,
    /// The tool; `None` for bare hands.
    pub tool: Option<ToolIx>,
    /// The face that must be up; `None` where any will do.
    pub face: Option<FaceIx>,
    /// Fasteners that come undone.
    pub undo: Vec<FasteningIx>,
    /// Fasteners that are done up.
    pub redo: Vec<FasteningIx>,
    /// Cables that are unplugged.
    pub unplug: Vec<ConnectionIx>,
    /// Cables that are plugged in.
    pub plug: Vec<ConnectionIx>,
    /// Hazards of this step.
    pub hazards: Vec<HazardIx>,
    /// What is used up, and how much.
    pub uses: Vec<(ConsumableIx, f64)>,
    /// The question that is answered here.
    pub asks: Option<QuestionIx>,
    /// The wait that begins at its end.
    pub starts_wait: Option<WaitIx>,
    /// The wait that must be over before it begins.
    pub after_wait: Option<WaitIx>,
    /// Its time in finished jobs, if learned times are applied; never from a catalog file.
    pub learned: Option<LearnedTime>,
}

/// The time of a step in finished jobs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearnedTime {
    /// Mean, s.
    pub seconds: f64,
    /// Number of timings.
    pub n: u32,
}

/// A fastening with its kind resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedFastening {
    /// The entry in the file.
    pub entry: Fastening,
    /// Its kind.
    pub fastener: FastenerIx,
    /// The part that it holds.
    pub part: PartIx,
    /// The face that it is seen on.
    pub face: Option<FaceIx>,
    /// The units that have it; absent if all have it.
    pub when: ResolvedCondition,
}

/// A hazard with its condition resolved.
#[derive(Clone, Debug, PartialEq)]
pub struct PlacedHazard {
    /// The entry in the file.
    pub entry: Hazard,
    /// The units that have it; absent if all have it.
    pub when: ResolvedCondition,
}

/// A wait.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wait {
    /// What is waited for.
    pub text: Text,
    /// How long, s.
    pub seconds: u32,
}
