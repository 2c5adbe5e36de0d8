//! The search problem of a unit.

use crate::bit_set::BitSet;
use crate::cost::{COST_PER_TENTH, Tenths};
use crate::problem::{Problem, SearchState};
use crate::search::{RefinedBound, SearchProblem};
use crate::state::PartState;

use super::pruning::Pruning;

pub struct UnitSearchProblem<'a> {
    problem: &'a Problem<'a>,
    pruning: Pruning<'a>,
}

impl<'a> UnitSearchProblem<'a> {
    #[cold]
    pub fn new(problem: &'a Problem<'a>) -> Self {
        Self {
            problem,
            pruning: Pruning::new(problem),
        }
    }

    /// Prunes nothing: for units on which a part must come out more than once.
    pub fn without_pruning(self) -> Self {
        Self {
            pruning: self.pruning.switched_off(),
            ..self
        }
    }

    /// The action that is applied here before anything else, if there is one. A successor
    /// is the state in which there is none.
    pub fn forced_action(&self, state: &SearchState) -> Option<usize> {
        self.pruning.forced_action(state)
    }

    /// The search cost of an action, and the state after it.
    pub fn apply(&self, action: usize, state: &SearchState) -> (u64, SearchState) {
        let action = &self.problem.actions[action];
        let (cost, next) = action.apply(state, self.problem.request.prices);
        let disturbs = action
            .part_move
            .is_some_and(|moved| moved.from == PartState::Fitted);
        let cost = u64::from(cost.total) * COST_PER_TENTH + u64::from(disturbs);
        (cost, next)
    }

    fn apply_with_forced(&self, action: usize, state: &SearchState) -> (u64, SearchState) {
        let (mut cost, mut next) = self.apply(action, state);
        // At most every way out and back of each part, and every task.
        for _ in 0..self.problem.actions.len() {
            let Some(forced) = self.forced_action(&next) else {
                break;
            };
            let (more, after) = self.apply(forced, &next);
            cost += more;
            next = after;
        }
        (cost, next)
    }
}

impl SearchProblem for UnitSearchProblem<'_> {
    type State = SearchState;
    /// The open legs and the remaining tasks.
    type StateKey = (BitSet, u64);
    type ActionId = usize;

    fn state_key(&self, state: &SearchState) -> Self::StateKey {
        (state.open_legs.clone(), state.tasks)
    }

    /// A state dominates another if it is no dearer even after changing to the other's tool
    /// and face, and no running wait ends later. The change is added to the waits, too,
    /// because it may have to be made after the wait.
    fn dominates(
        &self,
        state: &SearchState,
        cost: u64,
        other: &SearchState,
        other_cost: u64,
    ) -> bool {
        let prices = self.problem.request.prices;
        let tool = u64::from(state.tool != other.tool) * u64::from(prices.tool_change);
        let face = u64::from(state.face != other.face) * u64::from(prices.face_change);
        let cost = cost + (tool + face) * COST_PER_TENTH;
        let mut waits = state.waits.iter().zip(&other.waits);
        let ends_no_later = |(mine, theirs): (&Tenths, &Tenths)| {
            let mine_ends = cost + u64::from(*mine) * COST_PER_TENTH;
            let theirs_ends = other_cost + u64::from(*theirs) * COST_PER_TENTH;
            *mine == 0 || mine_ends <= theirs_ends
        };
        cost <= other_cost && waits.all(ends_no_later)
    }

    fn initial_state(&self) -> SearchState {
        self.problem.initial_state()
    }

    fn is_goal(&self, state: &SearchState) -> bool {
        state.tasks == 0 && state.is_closed()
    }

    fn heuristic(&self, state: &SearchState) -> Option<u64> {
        self.pruning.heuristic.estimate(state)
    }

    fn edge_bound(&self, state: &SearchState, action: usize) -> u64 {
        let action = &self.problem.actions[action];
        self.pruning.heuristic.edge_bound(state, action)
    }

    fn refine_heuristic(&self, state: &SearchState, known: u64) -> Option<RefinedBound> {
        self.pruning.heuristic.refine(state, known)
    }

    fn successors(&self, state: &SearchState, into: &mut Vec<(usize, SearchState, u64)>) {
        // The context is needed only where nothing is forced, and then for every action.
        if let Some(forced) = self.forced_action(state) {
            let (cost, next) = self.apply_with_forced(forced, state);
            into.push((forced, next, cost));
            return;
        }
        for action in self.pruning.allowed_actions(&self.pruning.context(state)) {
            let (cost, next) = self.apply_with_forced(action, state);
            into.push((action, next, cost));
        }
    }
}
