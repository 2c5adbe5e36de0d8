//! Where a job stands, in the planner's terms, and a new plan from there.
//!
//! What is done stays done: the parts are where the completed operations have
//! left them, the tool and the face are those of the last step, and an operation
//! that has been begun is finished first. The first plan is made the same way:
//! nothing is done yet.
//!
//! Where a way out cannot be finished, because it was found blocked, or shall not
//! be, because the unit is closed up, it is turned back from first.
//!
//! Once a check has run, the unit has been live. If it has to be opened again,
//! it is made safe again, and every check is made again afterwards.

mod abandoned;
mod error;
mod locate;
mod remaining;
mod started;
mod unit_state;

pub use error::{PositionError, ReplanError};
pub use locate::{Position, closing_up, position, replan};
