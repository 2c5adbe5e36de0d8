//! A plan as it stood, in words: enough to read, time and tally the job without
//! its catalog.
//!
//! A snapshot lists what was *still to be done* when it was made. Steps are
//! numbered from 1 through the whole job, and a later snapshot goes on counting,
//! so that a number means one step for good.

mod defaults;
mod materials;
mod phase;
mod plan;
mod step;

pub use materials::{Cable, FastenerSize, Fasteners, HandBackPiece, Used, WaitStarted};
pub use phase::JobPhase;
pub use plan::{PlanSnapshot, RestsOn};
pub use step::PlannedStep;
