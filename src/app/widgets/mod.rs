//! Pieces that several screens share.

pub mod face;
pub mod profile;
pub mod sheet;
