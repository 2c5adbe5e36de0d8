//! The states of a unit as a search problem, with most of the useless moves pruned.
//!
//! Each pruning rule rests on two facts: removing an operation from a sequence never adds a
//! tool or face change, and opening more never makes a precondition false, except for parts
//! that *must remain* in place for something (parts under `in-place`, carriers of relevant
//! riders, parts that a service wants back first).
//!
//! * A part is taken out only if a route to a remaining task, or the way back of an open
//!   part, needs it.
//! * A part that is certain to be needed open again is not put back, unless it must remain
//!   in place for something: it would have to come out once more.
//! * **Forced actions.** An action that must be done sooner or later, is applicable, costs no
//!   change of tool or face and blocks nothing is applied at once, and no other successor is
//!   generated. These are task work, opening a landmark leg of a part that need not remain,
//!   and putting back a part that nothing needs any more. Of a rider's two ways only the one
//!   with less work is forced, because the other could save nothing. The rule is off where
//!   waits play a part: then it matters what is done while one runs.
//! * **Forced after a change.** Where a change of tool or face (or both) would lead to a forced
//!   action, no other successor that begins with that change, or with that change and the
//!   other one, is generated: whoever makes the change may as well do the forced action first.

mod changeover;
mod move_context;
mod pruning;
mod pruning_tables;
mod unit_search_problem;

pub use unit_search_problem::UnitSearchProblem;
