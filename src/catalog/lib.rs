//! The description of a unit: JSON in, checked model out.
//!
//! [`mod@format`] is the file as an author writes it; [`model`] is what the rest of the
//! workspace works with. Only [`mod@check`] turns one into the other, so a planner
//! never sees a dangling id, a loop, or a screw that is undone and never done up. This
//! crate is independent of time, plans, storage and screens.

mod block_on;
pub mod check;
pub mod format;
mod insertion_sort;
pub mod json;
pub mod model;
#[cfg(not(target_arch = "wasm32"))]
pub mod schema;
pub mod setup;

pub use block_on::block_on;
pub use check::{check, read};
pub use insertion_sort::insertion_sort;
