//! A request made ready for the search: the relevant parts, numbered; conditions decided
//! for this unit; and every action with its precondition, cost and effect.
//!
//! In the words of classical planning this is the *grounded task*. Its fluents are the
//! *legs*: one for easing a part and one for taking it off (see [`leg_of`]).

mod action;
mod compiled_precondition;
mod landmarks;
mod part_legs;
mod part_numbering;
mod precondition;
mod preconditions_of_ops;
#[allow(clippy::module_inception)]
mod problem;
mod relevant_parts;
mod resource_use;
mod search_state;
mod timed_steps;

pub use action::{Action, PartMove};
pub use landmarks::Landmarks;
pub use part_legs::{PartLegs, leg_of};
pub use part_numbering::is_or_rides_on;
pub use precondition::Precondition;
pub use problem::Problem;
pub use resource_use::ResourceSequence;
pub use search_state::SearchState;
