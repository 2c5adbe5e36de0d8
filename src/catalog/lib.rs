//! What a unit is, and the language that people read: what both Lidoff and its
//! planner stand on. Lidoff itself shows all of this under its own name.

#[doc(hidden)]
#[path = "../at_once.rs"]
pub mod at_once;
#[path = "mod.rs"]
pub mod catalog;
#[doc(hidden)]
#[path = "../order.rs"]
pub mod order;
#[path = "../tongue/mod.rs"]
pub mod tongue;
