//! The screens, one file each.

pub mod change;
pub mod desk;
pub mod lost;
pub mod new_job;
mod of_job;
pub mod plan;
pub mod records;
pub mod step;
pub mod today;
pub mod tray;
pub mod units;
pub mod wrap_up;
