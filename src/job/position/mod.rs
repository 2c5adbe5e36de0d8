//! The position of a job in the planner's terms, and a new plan from there.
//!
//! Completed work stays done: the parts are where the completed operations left them,
//! the tool and face are those of the last step, and an operation that has been started
//! is finished first. The first plan is made the same way, with nothing done yet.
//!
//! If a way out cannot be finished because it is blocked, or is not to be finished
//! because the unit is being closed up, it is reversed first.
//!
//! Once a check has run, the unit has been live. If it is opened again, it is made safe
//! again, and every check is repeated afterwards.
//!
//! A source that turned out not to be isolated is isolated again before anything else, and
//! an isolation that is in doubt after an interruption is verified again.

mod abandoned;
mod error;
mod isolation;
mod locate;
mod remaining;
mod started;
mod unit_state;

pub use error::{PositionError, ReplanError};
pub use locate::{Position, closing_up, position, replan};
