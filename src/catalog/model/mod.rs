//! The checked catalog: what the rest of the workspace works with.
//!
//! Only [`check`](super::check()) makes a [`Catalog`], so every index in it is valid,
//! every step has an estimate, and every formula refers to existing parts. Indices
//! follow the order of the file, called "catalog order".

mod catalog;
mod condition;
mod index;
mod part;
mod step;

pub use catalog::Catalog;
pub use condition::{ResolvedCondition, ResolvedFormula};
pub use index::{
    AnswerIx, ConnectionIx, ConsumableIx, FaceIx, FastenerIx, FasteningIx, HazardIx, OptionIx,
    PartIx, QuestionIx, ServiceIx, SpareIx, StepIx, ToolIx, WaitIx,
};
pub use part::{HandBack, Inspect, Leg, OpIx, Part, Reseat, Service, Source, Swap};
pub use step::{LearnedTime, PlacedFastening, PlacedHazard, Step, Wait};
