//! A plan with the states between its operations.

use crate::cost::Tenths;
use crate::op::Op;
use crate::problem::{Action, Problem, SearchState};

pub(super) struct PlanTrace<'a> {
    pub problem: &'a Problem<'a>,
    /// The operations, as indices of the problem's actions.
    pub actions: Vec<usize>,
    /// The state before each operation, and the one after the last.
    pub states: Vec<SearchState>,
    /// The time of all operations.
    pub total: Tenths,
}

impl<'a> PlanTrace<'a> {
    /// `None` where these operations cannot follow each other.
    pub fn new(problem: &'a Problem<'a>, ops: &[Op]) -> Option<Self> {
        let find = |op: &Op| {
            let mut actions = problem.actions.iter();
            actions.position(|action| action.op == *op && !action.is_virtual)
        };
        let actions: Option<Vec<usize>> = ops.iter().map(find).collect();
        Self::run(problem, actions?)
    }

    fn run(problem: &'a Problem<'a>, actions: Vec<usize>) -> Option<Self> {
        let mut states = vec![problem.initial_state()];
        let mut total = 0;
        for action in &actions {
            let action = &problem.actions[*action];
            let state = states.last()?;
            if !action.is_applicable(state) {
                return None;
            }
            let (cost, next) = action.apply(state, problem.request.prices);
            total += cost.total;
            states.push(next);
        }
        Some(Self {
            problem,
            actions,
            states,
            total,
        })
    }

    pub fn action(&self, index: usize) -> &'a Action {
        &self.problem.actions[self.actions[index]]
    }

    /// The same operations with one of them moved; `None` where that is not legal.
    pub fn with_moved(&self, from: usize, to: usize) -> Option<Self> {
        let mut actions = self.actions.clone();
        let action = actions.remove(from);
        actions.insert(to, action);
        Self::run(self.problem, actions)
    }
}
