//! What a unit is: JSON in, checked model out.
//!
//! [`mod@format`] is the file as an author writes it, [`model`] is what the rest of
//! the house works with. The only way from one to the other is [`mod@check`], so a
//! planner never sees a dangling id, a loop, or a screw that is undone and
//! never done up. This module knows nothing of time, plans, storage or screens.

pub mod check;
pub mod format;
pub mod model;
#[cfg(not(target_arch = "wasm32"))]
pub mod schema;
pub mod setup;

pub use check::{check, read};
