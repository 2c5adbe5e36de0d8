//! Operations in a row, and the states between them.

use crate::problem::{Action, Node, Problem};
use crate::{Op, Tenths};

/// Operations that can be done one after the other.
pub(super) struct Line<'a> {
    pub problem: &'a Problem<'a>,
    /// The operations, as places in the problem's actions.
    pub acts: Vec<usize>,
    /// The state before each, and after the last.
    pub states: Vec<Node>,
    /// What all of them cost.
    pub total: Tenths,
}

impl<'a> Line<'a> {
    /// These operations; `None` where they cannot be done one after the other.
    pub fn of(problem: &'a Problem<'a>, ops: &[Op]) -> Option<Self> {
        let find = |op: &Op| problem.actions.iter().position(|one| one.op == *op);
        let acts: Option<Vec<usize>> = ops.iter().map(find).collect();
        Self::walk(problem, acts?)
    }

    fn walk(problem: &'a Problem<'a>, acts: Vec<usize>) -> Option<Self> {
        let mut states = vec![problem.start()];
        let mut total = 0;
        for act in &acts {
            let action = &problem.actions[*act];
            let here = states.last()?;
            if !action.can(here) {
                return None;
            }
            let (taken, next) = action.apply(here, problem.request.prices);
            total += taken.total;
            states.push(next);
        }
        Some(Self {
            problem,
            acts,
            states,
            total,
        })
    }

    /// The operation at this place.
    pub fn action(&self, at: usize) -> &'a Action {
        &self.problem.actions[self.acts[at]]
    }

    /// The same operations with one of them moved; `None` where that cannot be.
    pub fn moved(&self, from: usize, to: usize) -> Option<Self> {
        let mut acts = self.acts.clone();
        let act = acts.remove(from);
        acts.insert(to, act);
        Self::walk(self.problem, acts)
    }
}
