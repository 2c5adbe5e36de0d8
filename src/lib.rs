//! Lidoff: opening a sealed electronic unit on site, replacing what failed, and
//! closing it again inside the booked time.
//!
//! Arrows run one way: `catalog` ← `plan` ← `time` ← `job` ← `desk` ← `exchange`
//! ← `app` and the command line. Nothing above `app` knows a browser.

pub mod app;
mod at_once;
pub mod catalog;
pub mod desk;
pub mod exchange;
pub mod job;
mod order;
pub mod plan;
pub mod time;
pub mod tongue;

// Tests inside and outside the crate share their units, which name the crate.
#[cfg(all(test, not(target_arch = "wasm32")))]
extern crate self as lidoff;
#[cfg(all(test, not(target_arch = "wasm32")))]
#[path = "../tests/common/mod.rs"]
mod common;
