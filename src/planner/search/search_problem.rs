//! The contract between the search and what it searches.

use std::hash::Hash;

/// What the search needs to know of a problem.
pub trait SearchProblem {
    type State: Clone;
    /// States are compared for dominance only where their keys are equal.
    type StateKey: Eq + Hash;
    type ActionId: Copy;

    fn state_key(&self, state: &Self::State) -> Self::StateKey;

    /// Whether a state reached at `cost` dominates another of the same key reached at
    /// `other_cost`: every continuation of the other is possible here and ends no dearer.
    fn dominates(
        &self,
        state: &Self::State,
        cost: u64,
        other: &Self::State,
        other_cost: u64,
    ) -> bool;

    fn initial_state(&self) -> Self::State;

    fn is_goal(&self, state: &Self::State) -> bool;

    /// The heuristic: no path from here to a goal costs less. `None` where there is none.
    fn heuristic(&self, state: &Self::State) -> Option<u64>;

    /// No path to a goal that begins with this action costs less. Must be quick, because
    /// it is asked for every generated successor.
    fn edge_bound(&self, _state: &Self::State, _action: Self::ActionId) -> u64 {
        0
    }

    /// A better heuristic value than this one, which takes longer to find. It is asked for
    /// only where a state has reached the front of the queue.
    fn refine_heuristic(&self, _state: &Self::State, known: u64) -> Option<RefinedBound> {
        Some(RefinedBound {
            bound: known,
            is_final: true,
        })
    }

    /// Adds each successor: the action, the state after it, and the cost of the step. The
    /// order in which they are added breaks ties.
    fn successors(&self, state: &Self::State, into: &mut Vec<(Self::ActionId, Self::State, u64)>);
}

/// A heuristic value that took longer.
pub struct RefinedBound {
    pub bound: u64,
    /// Asking again would find no better one.
    pub is_final: bool,
}
