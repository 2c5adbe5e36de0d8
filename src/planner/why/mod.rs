//! Why each operation of a plan is there, and why it stands where it does.
//!
//! Everything is said against what would happen otherwise, and none of it is
//! kept from the search: an operation *opens the way* for a later one if that one
//! could not be done were the part still as it was; its *place* is as far as it
//! can be moved with every operation still legal, and what moving it so far would
//! cost; *otherwise* is the cheapest plan without it.

mod line;
mod need;
mod otherwise;
mod place;
mod words;

use lidoff_catalog::model::PartIx;

use super::problem::Problem;
use super::request::Request;
use super::state::PartState;
use super::{Op, Task, Tenths};

use line::Line;

pub use otherwise::{Otherwise, otherwise};

/// Why an operation is there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Why {
    /// The operation.
    pub op: Op,
    /// What for.
    pub need: Need,
    /// The parts that come away with the one that is taken off.
    pub riders: Vec<PartIx>,
    /// Why here in the order.
    pub place: Place,
}

/// What an operation is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Need {
    /// It is task work.
    Work {
        /// The task.
        task: Task,
        /// The part whose replacement brings this service operation along.
        brought_by: Option<PartIx>,
    },
    /// It opens the way to what comes later.
    Opens {
        /// From the operation that it opens the way for, over what that one opens
        /// the way for, to task work or to a way back.
        chain: Vec<Asks>,
        /// All the tasks that could not be done without it.
        tasks: Vec<Task>,
    },
    /// It closes what is open.
    Closes {
        /// The tasks for which this plan opened it; none where it was open before.
        opened_for: Vec<Task>,
    },
    /// Nothing asks for it: it costs nothing.
    Nothing,
}

/// An operation, and what it asks of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asks {
    /// The operation that asks.
    pub op: Op,
    /// The part.
    pub part: PartIx,
    /// How far the part must be out.
    pub level: PartState,
}

/// Why an operation stands where it does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Place {
    /// What must come before it.
    pub after: Option<Op>,
    /// What must come after it.
    pub before: Option<Op>,
    /// What it would cost to do it as soon as it can be done; `None` where it
    /// cannot be done any sooner.
    pub sooner: Option<Tenths>,
    /// What it would cost to do it as late as it can be done.
    pub later: Option<Tenths>,
}

/// Why the operation at this place is there: `ops` is the plan for this request,
/// in order. `None` where it is not, or where there is no such place.
pub fn why(request: &Request, ops: &[Op], at: usize) -> Option<Why> {
    let op = *ops.get(at)?;
    let problem = Problem::new(*request);
    let line = Line::of(&problem, ops)?;
    Some(Why {
        op,
        need: need::need(&line, at),
        riders: riders(request, op),
        place: place::place(&line, at),
    })
}

/// The parts that come away with the one that this takes off.
fn riders(request: &Request, op: Op) -> Vec<PartIx> {
    let Op::TakeOff(part, _) = op else {
        return Vec::new();
    };
    let Request {
        catalog,
        setup,
        from,
        ..
    } = request;
    let rides =
        |at: &PartIx| setup.holds(&catalog.part(*at).when) && from.of(*at) == PartState::Fitted;
    let riders = catalog.part(part).riders.iter();
    riders.copied().filter(rides).collect()
}
