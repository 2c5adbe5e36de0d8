//! Pieces that several screens share.

pub mod add_task;
pub mod booking;
pub mod choose_task;
pub mod countdown;
pub mod disclosure;
pub mod estimate;
pub mod face;
pub mod hands_free;
pub mod hazard;
pub mod language_and_units;
pub mod left_open;
pub mod marginal_cost;
pub mod offer;
pub mod outlook;
pub mod pause_reasons;
pub mod photos;
pub mod problem;
pub mod profile;
pub mod progress;
pub mod reading;
pub mod sheet;
pub mod theme;
pub mod times;
pub mod tool;
pub mod turning;
pub mod why;
