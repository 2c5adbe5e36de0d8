//! Every state that a case can come to, the moves between them, and the true remaining cost
//! of each: by applying every legal action, with no heuristic and no pruning.

use std::cmp::Reverse;
use std::collections::hash_map::Entry;
use std::collections::{BinaryHeap, HashMap};

use lidoff_planner::Tenths;
use lidoff_planner::internals::{BitSet, SearchProblem, SearchState};

/// What tells two states apart.
type FullKey = (BitSet, u64, u16, u16, Vec<Tenths>);

fn full_key(state: &SearchState) -> FullKey {
    (
        state.open_legs.clone(),
        state.tasks,
        state.tool,
        state.face,
        state.waits.to_vec(),
    )
}

#[derive(Clone, Copy)]
pub struct Edge {
    pub action: usize,
    pub to: usize,
    pub cost: u64,
}

/// The state space of a case.
pub struct StateGraph<'a, P> {
    problem: &'a P,
    pub states: Vec<SearchState>,
    index: HashMap<FullKey, usize>,
    /// The legal moves of each state.
    pub legal: Vec<Vec<Edge>>,
    /// The true remaining cost of each state; `None` where no goal can be reached.
    pub remaining: Vec<Option<u64>>,
}

impl<'a, P: SearchProblem<State = SearchState, ActionId = usize>> StateGraph<'a, P> {
    /// Every state that is reachable by `legal` moves: the action, its cost, and the state
    /// after it. `None` where there are more than `max_states`.
    pub fn new(
        problem: &'a P,
        legal: impl Fn(&SearchState) -> Vec<(usize, (u64, SearchState))>,
        max_states: usize,
    ) -> Option<Self> {
        let mut graph = Self {
            problem,
            states: Vec::new(),
            index: HashMap::new(),
            legal: Vec::new(),
            remaining: Vec::new(),
        };
        graph.add(problem.initial_state());
        while let Some(state) = graph.states.get(graph.legal.len()).cloned() {
            if graph.states.len() > max_states {
                return None;
            }
            let edges = legal(&state)
                .into_iter()
                .map(|(action, (cost, next))| Edge {
                    action,
                    to: graph.add(next),
                    cost,
                });
            let edges = edges.collect();
            graph.legal.push(edges);
        }
        graph.remaining = graph.least_costs(&graph.legal);
        Some(graph)
    }

    fn add(&mut self, state: SearchState) -> usize {
        match self.index.entry(full_key(&state)) {
            Entry::Occupied(known) => *known.get(),
            Entry::Vacant(vacant) => {
                self.states.push(state);
                *vacant.insert(self.states.len() - 1)
            }
        }
    }

    /// The moves that the search generates in each state.
    pub fn generated(&self) -> Vec<Vec<Edge>> {
        let mut successors = Vec::new();
        let edges = self.states.iter().map(|state| {
            successors.clear();
            self.problem.successors(state, &mut successors);
            let edges = successors.drain(..).map(|(action, next, cost)| Edge {
                action,
                to: self.index[&full_key(&next)],
                cost,
            });
            edges.collect()
        });
        edges.collect()
    }

    /// The least cost from each state to a goal by these moves (Dijkstra, backwards).
    pub fn least_costs(&self, edges: &[Vec<Edge>]) -> Vec<Option<u64>> {
        let mut incoming = vec![Vec::new(); self.states.len()];
        for (from, edges) in edges.iter().enumerate() {
            for edge in edges {
                incoming[edge.to].push((from, edge.cost));
            }
        }
        let mut least = vec![None; self.states.len()];
        let goals = self.states.iter().enumerate();
        let goals = goals.filter(|(_, state)| self.problem.is_goal(state));
        let mut queue: BinaryHeap<_> = goals.map(|(index, _)| Reverse((0, index))).collect();
        while let Some(Reverse((cost, state))) = queue.pop() {
            if least[state].is_some() {
                continue;
            }
            least[state] = Some(cost);
            for (from, step) in &incoming[state] {
                queue.push(Reverse((cost + step, *from)));
            }
        }
        least
    }

    /// The states that share a key, each with its remaining cost. States from which no goal
    /// can be reached are left out.
    pub fn groups_by_key(&self) -> Vec<Vec<(&SearchState, u64)>> {
        let mut groups: HashMap<P::StateKey, Vec<(&SearchState, u64)>> = HashMap::new();
        for (state, remaining) in self.states.iter().zip(&self.remaining) {
            if let Some(remaining) = remaining {
                let key = self.problem.state_key(state);
                groups.entry(key).or_default().push((state, *remaining));
            }
        }
        groups.into_values().collect()
    }
}
