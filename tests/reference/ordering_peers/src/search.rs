//! A* of the rpid crate.

use fixedbitset::FixedBitSet;
use rpid::prelude::*;
use rpid::solvers;

use crate::{Found, Problem};

pub struct State {
    left: FixedBitSet,
    last: usize,
}

struct Model(Problem);

impl Dp for Model {
    type State = State;
    type CostType = i64;
    type Label = usize;

    fn get_target(&self) -> State {
        let mut left = FixedBitSet::with_capacity(self.0.nodes);
        left.insert_range(1..);
        State { left, last: 0 }
    }

    fn get_successors(&self, state: &State) -> impl IntoIterator<Item = (State, i64, usize)> {
        state.left.ones().filter_map(|next| {
            let cost = self.0.costs[state.last][next]?;
            if !self.0.before[next].is_disjoint(&state.left) {
                return None;
            }
            let mut left = state.left.clone();
            left.remove(next);
            Some((State { left, last: next }, cost, next))
        })
    }

    fn get_base_cost(&self, state: &State) -> Option<i64> {
        state.left.is_clear().then_some(0)
    }
}

impl Dominance for Model {
    type State = State;
    type Key = (FixedBitSet, usize);

    fn get_key(&self, state: &State) -> Self::Key {
        (state.left.clone(), state.last)
    }
}

impl Bound for Model {
    type State = State;
    type CostType = i64;

    fn get_dual_bound(&self, state: &State) -> Option<i64> {
        let from = || state.left.ones().chain(std::iter::once(state.last));
        let least = |to: usize| from().filter_map(|it| self.0.costs[it][to]).min();
        state.left.ones().map(least).sum()
    }
}

/// Solves.
pub fn solve(problem: Problem, seconds: u64) -> Found {
    let parameters = SearchParameters {
        quiet: true,
        time_limit: Some(seconds as f64),
        // What fits in some gigabytes.
        expansion_limit: Some(20_000_000),
        ..Default::default()
    };
    let solution = solvers::create_astar(Model(problem), parameters).search();
    Found {
        cost: solution.cost,
        bound: solution.best_bound,
        proven: solution.is_optimal,
    }
}
