//! Branch and bound with decision diagrams of the ddo crate.

use std::cmp::Ordering;
use std::time::Duration;

use ddo::{
    Completion, Decision, DecisionCallback, EmptyDominanceChecker, FixedWidth, MaxUB, NoDupFringe,
    Relaxation, SeqCachingSolverFc, Solver, StateRanking, TimeBudget, Variable,
};
use fixedbitset::FixedBitSet;

use crate::{Found, Problem};

/// One state, or several merged ones.
#[derive(Clone, PartialEq, Eq, Hash)]
struct State {
    /// Left in all of them.
    must: FixedBitSet,
    /// Left in some of them and not in all.
    may: FixedBitSet,
    /// Last in some of them.
    lasts: FixedBitSet,
    done: usize,
}

struct Model(Problem);

impl Model {
    fn way(&self, state: &State, next: usize) -> Option<i64> {
        let ways = state
            .lasts
            .ones()
            .filter_map(|last| self.0.costs[last][next]);
        ways.min()
    }
}

impl ddo::Problem for Model {
    type State = State;

    fn nb_variables(&self) -> usize {
        self.0.nodes - 1
    }

    fn initial_state(&self) -> State {
        let none = FixedBitSet::with_capacity(self.0.nodes);
        let (mut must, mut lasts) = (none.clone(), none.clone());
        must.insert_range(1..);
        lasts.insert(0);
        State {
            must,
            may: none,
            lasts,
            done: 1,
        }
    }

    fn initial_value(&self) -> isize {
        0
    }

    fn transition(&self, state: &State, decision: Decision) -> State {
        let node = decision.value as usize;
        let mut next = state.clone();
        next.must.set(node, false);
        next.may.set(node, false);
        next.lasts.clear();
        next.lasts.insert(node);
        next.done += 1;
        next
    }

    fn transition_cost(&self, state: &State, _: &State, decision: Decision) -> isize {
        let way = self.way(state, decision.value as usize);
        way.map_or(isize::MIN / 4, |way| -(way as isize))
    }

    fn next_variable(&self, depth: usize, _: &mut dyn Iterator<Item = &State>) -> Option<Variable> {
        (depth < self.nb_variables()).then_some(Variable(depth))
    }

    fn for_each_in_domain(&self, variable: Variable, state: &State, f: &mut dyn DecisionCallback) {
        let full = state.must.count_ones(..) == self.0.nodes - state.done;
        let may = state.may.ones().filter(|_| !full);
        for node in state.must.ones().chain(may) {
            let free = self.0.before[node].is_disjoint(&state.must);
            if free && self.way(state, node).is_some() {
                let value = node as isize;
                f.apply(Decision { variable, value });
            }
        }
    }
}

impl Relaxation for Model {
    type State = State;

    fn merge(&self, states: &mut dyn Iterator<Item = &State>) -> State {
        let mut all: Option<State> = None;
        for state in states {
            let Some(all) = &mut all else {
                all = Some(state.clone());
                continue;
            };
            all.may.union_with(&state.may);
            all.may.union_with(&all.must);
            all.may.union_with(&state.must);
            all.must.intersect_with(&state.must);
            all.may.difference_with(&all.must);
            all.lasts.union_with(&state.lasts);
        }
        all.expect("some states are merged")
    }

    fn relax(&self, _: &State, _: &State, _: &State, _: Decision, cost: isize) -> isize {
        cost
    }

    fn fast_upper_bound(&self, state: &State) -> isize {
        let must: i64 = state.must.ones().map(|node| self.0.into[node]).sum();
        let more = (self.0.nodes - state.done).saturating_sub(state.must.count_ones(..));
        let mut may: Vec<i64> = state.may.ones().map(|node| self.0.into[node]).collect();
        may.sort_unstable();
        -((must + may.iter().take(more).sum::<i64>()) as isize)
    }
}

struct Ranking;

impl StateRanking for Ranking {
    type State = State;

    fn compare(&self, one: &State, other: &State) -> Ordering {
        let certain = |it: &State| it.must.count_ones(..);
        certain(one).cmp(&certain(other))
    }
}

/// States in a layer.
const WIDTH: usize = 1000;

/// Solves.
pub fn solve(problem: Problem, seconds: u64) -> Found {
    let model = Model(problem);
    let (ranking, width) = (Ranking, FixedWidth(WIDTH));
    let dominance = EmptyDominanceChecker::default();
    let cutoff = TimeBudget::new(Duration::from_secs(seconds));
    let mut fringe = NoDupFringe::new(MaxUB::new(&ranking));
    let mut solver = SeqCachingSolverFc::custom(
        &model,
        &model,
        &ranking,
        &width,
        &dominance,
        &cutoff,
        &mut fringe,
    );
    let Completion {
        is_exact,
        best_value,
    } = solver.maximize();
    let cost = best_value.map(|value| -value as i64);
    let bound = solver.best_upper_bound();
    let bound = (bound < isize::MAX).then_some(-bound as i64);
    Found {
        cost,
        bound: if is_exact { cost } else { bound },
        proven: is_exact,
    }
}
