//! Random units that the checker accepts and that can always be closed.
//!
//! A formula of part *n* names only parts before it in the list, and is drawn around a
//! *witness*: positions of those parts for which it holds. Then the first *n* parts can be
//! brought into any positions without moving the others (by induction on *n*), whatever a
//! formula wants off and whatever it wants in place. So each task can be done and each state
//! closed, and a planner that says otherwise is wrong. With [`UnitFeatures::tangled`] this no
//! longer holds: formulas may name any part.

mod formula;
mod part;
mod service;
mod source;
mod step;
mod unit_builder;
mod unit_features;
mod units;

pub use unit_features::UnitFeatures;
pub use units::{files, units};
