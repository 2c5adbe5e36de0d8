//! Units made at random, that a checker accepts and that can always be closed.
//!
//! Part *n* is asked for nothing but parts before it in the list, and every
//! formula is drawn round a *witness*: a way for those parts to lie that makes
//! it true. Then the first *n* parts can be brought to lie in any way without
//! moving the others (by induction on *n*), whatever a formula asks to be off
//! and whatever it asks to stay. So each task can be done and each state closed,
//! and a planner that says otherwise is wrong. With [`UnitFeatures::tangled`]
//! that promise is given up: formulas may be about any part.

mod formula;
mod part;
mod service;
mod step;
mod unit_builder;
mod unit_features;
mod units;

pub use unit_features::UnitFeatures;
pub use units::{files, units};
