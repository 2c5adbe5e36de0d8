//! How long: elements in, estimates and bands out.
//!
//! A step's time is the sum of its elements, or what its author measured; a
//! job's is a band, because a single number would be a lie. Invariants: every
//! element has a time and a spread; a figure that was published says where, and
//! one that was not says so. This crate reads a checked catalog and knows no
//! clock, no log and no screen.

pub mod band;
pub mod booking;
pub mod estimate;
pub mod forecast;
pub mod handbook;
pub mod learn;
pub mod learned_times;
pub mod learned_times_file;
pub mod normal;
pub mod robust;
pub mod turn_back;

pub use band::{Band, Lognormal, Pace, Sum};
pub use estimate::{Basis, Estimate};
pub use forecast::Forecast;
pub use learned_times::LearnedTimes;
pub use turn_back::TurnBack;
