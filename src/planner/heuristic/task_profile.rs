//! The operation of a task as the bound on tool and face changes sees it.

use crate::bit_set::BitSet;
use crate::problem::{Action, Problem};

use super::leg_profile::{ResourcesUsed, RouteChoice, choices, closed_during_all};

pub struct TaskProfile {
    pub used: ResourcesUsed,
    /// Legs that it names.
    pub named: BitSet,
    /// Legs that must not be open during it: one set for each part that must remain.
    pub closed: Vec<BitSet>,
    pub choices: Vec<RouteChoice>,
    /// Tasks that come before it, one bit each.
    pub after: u64,
    /// Legs that must be closed before it, each with the tasks that need it open, as bits.
    pub after_closing: Vec<(usize, u64)>,
}

impl TaskProfile {
    pub fn of(problem: &Problem, action: &Action) -> Self {
        let legs = 2 * problem.numbering.len();
        let named = action.precondition.named_legs(&problem.part_legs);
        Self {
            used: ResourcesUsed::of(action),
            closed: closed_during_all(&[action], legs),
            choices: choices(action, &problem.part_legs),
            named: named.unwrap_or_else(|| BitSet::empty(legs)),
            after: action.after_tasks & !action.completes,
            after_closing: problem
                .must_be_back(action.op)
                .map(|(part, tasks)| (2 * part + 1, tasks))
                .collect(),
        }
    }
}
