//! Time estimates: elements in, estimates and bands out.
//!
//! The time of a step is the sum of its elements, or the time that its author measured.
//! The time of a job is a band, because a single number would be misleading.
//! Invariants: every element has a time and a spread; a published figure names its
//! source, and any other is marked as having none. This crate reads a checked catalog
//! and uses no clock, log or screen.

pub mod band;
pub mod booking;
pub mod estimate;
pub mod forecast;
pub mod handbook;
pub mod learn;
pub mod learned_times;
pub mod learned_times_file;
pub mod limits;
pub mod normal;
pub mod robust;
pub mod turn_back;

pub use band::{Band, Lognormal, Pace, Sum};
pub use estimate::{Basis, Estimate};
pub use forecast::Forecast;
pub use learned_times::LearnedTimes;
pub use turn_back::TurnBack;
