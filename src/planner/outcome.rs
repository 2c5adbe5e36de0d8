//! What comes of asking: a plan, or the reason why there is none.

use std::fmt;

use lidoff_catalog::model::{PartIx, StepIx};

use super::{Op, Task, Tenths};

/// Operations in a legal order that do every task and end with the unit closed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// The operations, in order.
    pub ops: Vec<PlannedOp>,
    /// What it costs.
    pub cost: Cost,
    /// How good it is known to be.
    pub proof: Proof,
    /// States that the search looked at.
    pub states: usize,
}

/// An operation with the steps that it has on this unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PlannedOp {
    /// What is done.
    pub op: Op,
    /// How, in order.
    pub steps: Vec<StepIx>,
}

/// What a plan costs; all times in tenths of a second.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Cost {
    /// Sum of step times.
    pub work: Tenths,
    /// Number of tool changes.
    pub tool_changes: u32,
    /// Number of times the unit is turned.
    pub face_changes: u32,
    /// Time spent only waiting.
    pub waiting: Tenths,
    /// Everything: what the clock shows at the end.
    pub total: Tenths,
    /// Parts that leave their place.
    pub disturbed: u32,
}

/// How good a plan is known to be.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proof {
    /// No legal plan is cheaper. Where a wait plays a part: no legal plan that
    /// takes each part out once. (Putting a part back and taking it out again
    /// while one waits can save a change; nobody is asked to do that.)
    Cheapest,
    /// No legal plan is cheaper than this bound, in tenths of a second; the
    /// search met its limit before it could close the gap.
    AtLeast(Tenths),
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// The task is about a part that this unit is not fitted with.
    NotFitted(Task),
    /// The catalog gives no way to do this to this part.
    NotOffered(Task),
    /// The task cannot be reached: the chain of requirements that closes on
    /// itself, or ends at a part that has no way off.
    Unreachable {
        /// The task.
        task: Task,
        /// Each in the chain needs the next; the last has no way, or stands in the
        /// chain before: then it closes on itself.
        chain: Vec<Blocked>,
        /// Where the other routes end, if there are any.
        besides: Vec<Blocked>,
    },
    /// Each task can be reached, but they cannot all be done and the unit
    /// closed: what must stay in place forbids it.
    Conflict {
        /// The tasks that clash; without any one of them there is a plan, as far
        /// as could be told in a moment.
        tasks: Vec<Task>,
        /// The parts that must stay in place for one thing and that another
        /// opens.
        stays: Vec<PartIx>,
    },
    /// The unit cannot be closed from here: this part has no way back.
    CannotClose(PartIx),
    /// More tasks than one request can hold.
    TooManyTasks {
        /// The most that it can hold.
        most: usize,
    },
    /// The limit was met before any plan was found.
    Limit {
        /// States that were looked at.
        states: usize,
    },
}

/// A link in a chain of requirements that cannot be met.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Blocked {
    /// This part must be eased or taken off, and cannot be yet.
    Part(PartIx),
    /// This part must be eased or taken off, and its way out is blocked.
    Shut(PartIx),
    /// This task must be done first, and cannot be yet.
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
