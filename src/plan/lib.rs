//! Lidoff's planner. It is a package of its own for one reason: the app is made
//! small and this is made fast. So nothing here is generic towards the outside:
//! what is would be compiled where it is used, and small.

#[path = "mod.rs"]
pub mod plan;

// Paths are the same in here as in Lidoff itself.
use lidoff_catalog::{at_once, catalog, order, tongue};

// Tests inside and outside the crate share their units, which name the crate.
#[cfg(all(test, not(target_arch = "wasm32")))]
extern crate self as lidoff_plan;
#[cfg(all(test, not(target_arch = "wasm32")))]
#[path = "../../tests/planner/common/mod.rs"]
mod common;
