//! Simulates a plan one operation at a time, and says whether a technician could carry it out.
//!
//! The simulator reads the rules of the planner independently and shares no code with the
//! planner: not its legality rules, not its list of steps, not its clock. So a plan that it
//! accepts has been checked twice. It keeps four accounts: how far open every part is, what
//! the clock shows, which fastenings and cables are undone, and which tasks are left.
//!
//! It is slow and simple on purpose.

mod clock;
mod illegal_plan;
mod ledger;
mod rule_checker;
mod simulated_plan;
mod simulation;
mod steps_of_ops;
mod violation;
mod violation_messages;

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests;

pub use illegal_plan::IllegalPlan;
pub use ledger::TallyLine;
pub use simulated_plan::{SimulatedPlan, simulate};
pub use simulation::{SimulatedState, Simulation};
pub use violation::Violation;
