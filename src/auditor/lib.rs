//! The second judge of a plan.
//!
//! The auditor reads a catalog as it is written ([`CatalogFile`]) and a plan as a list of step
//! ids. It works out by itself what each step belongs to and what state the unit is in, and
//! reports every [rule](Rule) of safe and sensible work that the plan breaks. It shares no code
//! with the checked model, the planner or the job, so a fault in one of them cannot hide here.
//!
//! The rules with their sources are listed in `docs/rules.md`.
//!
//! A part whose leg has no step on this unit moves without a trace in the plan. The auditor
//! then does not know its state, and reports nothing that depends on it.

mod audit;
mod case;
mod hazards;
mod legality;
mod needless;
mod op;
mod power;
mod practice;
mod rule;
mod runs;
mod state;
mod tally;
mod unit;

pub use audit::Auditor;
pub use case::{Case, Start, Task};
pub use rule::{BrokenRule, Rule};
