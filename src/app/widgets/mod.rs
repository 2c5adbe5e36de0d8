//! Pieces that several screens share.

pub mod face;
pub mod hazard;
pub mod profile;
pub mod reading;
pub mod sheet;
pub mod trouble;
