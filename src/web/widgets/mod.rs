//! Pieces that several screens share.

pub mod add_task;
pub mod booking;
pub mod choose_task;
pub mod countdown;
pub mod estimate;
pub mod face;
pub mod handy;
pub mod hazard;
pub mod left_open;
pub mod look;
pub mod marginal_cost;
pub mod offer;
pub mod outlook;
pub mod pause_reasons;
pub mod photos;
pub mod profile;
pub mod progress;
pub mod reading;
pub mod sheet;
pub mod times;
pub mod tongue;
pub mod tool;
pub mod trouble;
pub mod turning;
pub mod unfold;
pub mod why;
