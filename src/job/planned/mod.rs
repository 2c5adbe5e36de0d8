//! A stored plan: enough text to read, time and tally the job without its catalog.
//!
//! A snapshot lists what was *still to be done* when it was made. Steps are numbered
//! from 1 through the whole job, and a later snapshot continues the numbering, so a
//! number always means the same step.

mod defaults;
mod materials;
mod old_part;
mod phase;
mod plan;
mod step;

pub use materials::{
    Cable, FastenerSize, Fasteners, HandBackPiece, Used, WaitStarted, fastener_details,
};
pub use old_part::{Duty, OldPart};
pub use phase::JobPhase;
pub use plan::{MayNeed, PlanSnapshot, PowerSource, RestsOn};
pub use step::PlannedStep;
