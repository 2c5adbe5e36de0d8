//! Pieces that several screens share.

pub mod also;
pub mod face;
pub mod hazard;
pub mod offer;
pub mod profile;
pub mod reading;
pub mod sheet;
pub mod trouble;
pub mod why;
