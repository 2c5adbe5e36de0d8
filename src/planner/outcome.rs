//! The outcome of planning: a plan, or the reason why there is none.

use std::fmt;

use lidoff_catalog::model::{PartIx, StepIx};

use crate::cost::Tenths;
use crate::op::Op;
use crate::request::Task;

/// Operations in a legal order that do every task and end with the unit closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    pub ops: Vec<PlannedOp>,
    pub cost: Cost,
    pub proof: Proof,
    /// States that the search expanded.
    pub states: usize,
}

/// An operation and its steps on this unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedOp {
    pub op: Op,
    pub steps: Vec<StepIx>,
}

/// What a plan costs. Times are tenths of a second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Sum of step times.
    pub work: Tenths,
    pub tool_changes: u32,
    /// Number of times the unit is turned.
    pub face_changes: u32,
    /// Time spent only waiting.
    pub waiting: Tenths,
    /// Work, changes and waiting.
    pub total: Tenths,
    /// Parts that leave their place, and sources that are isolated.
    pub disturbed: u32,
}

/// How good a plan is known to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No legal plan is cheaper. Where a wait plays a part: no legal plan that takes each
    /// part out once. (Putting a part back and taking it out again during a wait can save a
    /// change. No technician is asked to do that.)
    Cheapest,
    /// No legal plan is cheaper than this bound, in tenths of a second. The search met its
    /// limit before it could close the gap.
    AtLeast(Tenths),
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// This unit is not fitted with the part of the task.
    NotFitted(Task),
    /// The catalog does not offer this task on this part.
    NotOffered(Task),
    /// The task cannot be reached: its chain of requirements ends at a part that has no way
    /// off, or closes on itself.
    Unreachable {
        task: Task,
        /// Each link needs the next one. The last link has no way, or it is already in the
        /// chain: then the chain closes on itself.
        chain: Vec<Blocked>,
        /// Where the other routes end, if there are any.
        besides: Vec<Blocked>,
    },
    /// Each task can be reached, but they cannot all be done and the unit closed, because of
    /// parts that must remain in place.
    Conflict {
        /// The tasks in conflict. Without any one of them there is a plan, as far as a short
        /// search can tell.
        tasks: Vec<Task>,
        /// The parts that must remain in place for one thing and that another one opens.
        stays: Vec<PartIx>,
    },
    /// The unit cannot be closed from here: this part has no way back.
    CannotClose(PartIx),
    /// One request cannot hold so many tasks.
    TooManyTasks { most: usize },
    /// The limit was met before any plan was found.
    Limit {
        /// States that the search expanded.
        states: usize,
    },
}

/// A link in a chain of requirements that cannot be met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blocked {
    /// This part must be eased or taken off first.
    Part(PartIx),
    /// This part must be eased or taken off first, and the request blocks its way out.
    Shut(PartIx),
    /// This task must be done first.
    Task(Task),
}

impl fmt::Display for Proof {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Cheapest => f.write_str("proven to be the cheapest"),
            Self::AtLeast(bound) => {
                write!(
                    f,
                    "no plan takes less than {:.1} s",
                    f64::from(*bound) / 10.0
                )
            }
        }
    }
}
