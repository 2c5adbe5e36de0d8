//! Lidoff: opening a sealed electronic unit on site, replacing what failed, and
//! closing it again inside the booked time.
//!
//! Arrows run one way: `catalog` ← `plan` ← `time` ← `job` ← `desk` ← `exchange`
//! ← `app` and the command line. Nothing above `app` knows a browser.

pub mod app;
pub mod desk;
pub mod exchange;
pub mod job;
pub mod time;

// Packages of their own, so that the planner alone is made fast and the rest small.
use lidoff_catalog::order;
pub use lidoff_catalog::{catalog, tongue};
pub use lidoff_plan::plan;
