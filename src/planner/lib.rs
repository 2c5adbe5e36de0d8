//! Which steps, in which order, from any state.
//!
//! The rules are those of a plan's meaning: parts are fitted, eased or off;
//! whole operations are reordered and the steps inside them are not; the way in
//! is the way out; a plan ends closed. Strip-down, fit and refit are one chain,
//! because the tool in hand carries over. Times are whole tenths of a second,
//! so that "equal" is exact and the same everywhere. This module reads a checked
//! catalog and knows no clock, no log and no screen.
//!
//! # What is legal
//!
//! * A part that this unit is not fitted with does not exist: atoms on it are
//!   met. For any other part *q*: `eased q` is met when *q* is eased, off or away;
//!   `off q` when it is off or away; `clear q` when it is off by its own leg;
//!   `in-place q` when it is fitted and not away. (*Away*: some carrier below it
//!   is off.)
//! * *Ease p*: from fitted. *Take off p in place*: from eased where there is an
//!   easing leg, else from fitted. *Take off p on the bench*: from fitted, while
//!   *p*'s carrier is off or away. What is done in place needs *p* not to be away.
//! * *Put back p in place*: off → eased where there is an easing leg, else →
//!   fitted. *Put back p on the bench*: off → fitted, while its carrier is off or
//!   away. *Settle p*: eased → fitted.
//! * Out: the leg's `needs` holds before the operation. Back: `needs` and
//!   `refit_needs` hold before the operation.
//! * *Swap p* (task *replace p*): *p* is off by its own leg, and so is every
//!   rider that moves over and that this unit is fitted with. *Reseat p*: *p*'s
//!   own state is at least the one that the catalog names. *Inspect p*, *serve
//!   s*: the formula holds. Each task is done once.
//! * A service *s* that is still to be done and comes *before* an operation
//!   forbids that operation until *s* is done. *s* comes *after* swap p: not while
//!   *replace p* is still to be done; after service t: not while t is still to be
//!   done; after putting p back: not while p is off or a task still to be done
//!   needs p off by its own leg; after taking p off: not while p is on and such a
//!   task is still to be done.
//! * A step that comes after a wait begins when the wait is over; a wait that was
//!   never started is no wait. Starting a running wait starts it anew.
//! * At the end no task is left and every part is fitted.
//! * A way out that the request names as blocked is not gone; its way back may be.

mod access;
mod bits;
mod bound;
mod explain;
#[cfg(feature = "internals")]
#[doc(hidden)]
pub mod internals;
pub mod op;
pub mod outcome;
mod planner;
mod problem;
pub mod progress;
pub mod request;
mod search;
mod space;
pub mod state;
pub mod why;
mod words;

pub use access::{Access, access};
pub use op::{Op, Phase, Way};
pub use outcome::{Cost, Plan, PlannedOp, Proof, Refusal};
pub use planner::{MOST_TASKS, plan, plan_async};
pub use request::{Limits, Prices, Request, Task};
pub use state::{PartState, UnitState};
pub use why::{Otherwise, Why, otherwise, why};

/// A time inside the planner, in tenths of a second.
pub type Tenths = u32;
