//! Many jobs compared: what visits took against what they were planned to take.
//!
//! Jobs come in as logs; two logs of one job are one job. Only times with
//! reliable clocks are compared, and the others are counted as left out.
//! This module knows no files and no screen.

pub mod compare;
pub mod learn;
mod stats;
pub mod xmr;

pub use compare::{Comparison, JobLine, Observation, PhaseLine, StepLine, compare, gather};
pub use learn::learn;
