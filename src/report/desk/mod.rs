//! Comparison of many jobs: actual against planned time of visits.
//!
//! Jobs come in as logs; two logs of the same job are merged. Only times with reliable
//! clocks are compared; the others are counted as excluded. This module handles no
//! files and no screens.

pub mod compare;
pub mod learn;
mod stats;
pub mod xmr;

pub use compare::{Comparison, JobLine, Observation, PhaseLine, StepLine, compare, gather};
pub use learn::learn;
