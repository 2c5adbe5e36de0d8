//! Why each operation of a plan is there, and why it stands where it does.
//!
//! Nothing of this is kept from the search. Everything is read off the finished plan by
//! comparing it with what would happen otherwise:
//!
//! * An operation *opens the way* for a later one if that one would not be applicable were
//!   the part still as it was ([`Purpose`]).
//! * Its *slack* is how far it can be moved with every operation still legal, and what moving
//!   it that far would cost ([`OrderSlack`]).
//! * The *alternative* is the cheapest plan without it ([`Alternative`]).

mod alternative;
mod explain;
mod order_slack;
mod phrases;
mod plan_trace;
mod purpose;

pub use alternative::{Alternative, find_alternative};
pub use explain::{Explanation, explain};
pub use order_slack::OrderSlack;
pub use purpose::{NeededState, Purpose};
