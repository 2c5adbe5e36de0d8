//! The planner (draft docs)

mod access;
mod bit_set;
mod cost;
pub mod explanation;
mod heuristic;
mod infeasibility;
#[cfg(feature = "internals")]
#[doc(hidden)]
pub mod internals;
pub mod op;
pub mod outcome;
mod planner;
mod problem;
pub mod progress;
mod refusal_messages;
pub mod request;
mod search;
pub mod state;
mod unit_search;

pub use access::{Access, access};
pub use cost::Tenths;
pub use explanation::{Alternative, Explanation, explain, find_alternative};
pub use op::{Op, Phase, Workplace};
pub use outcome::{Cost, Plan, PlannedOp, Proof, Refusal};
pub use planner::{MAX_TASKS, plan, plan_async};
pub use request::{Limits, Prices, Request, Task};
pub use state::{PartState, UnitState};
