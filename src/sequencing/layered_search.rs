//! The exact search by dynamic programming, layer by layer: all states with one node placed,
//! with two, and so on. Where a layer has too many states, the best are kept (beam search):
//! then it finds good sequences and a bound, but proves nothing.

use super::bound_table::BoundTable;
use super::feasible_arcs::FeasibleArcs;
use super::multipliers::Multipliers;
use super::node_set::NodeSet;
use super::prepared_problem::{INFEASIBLE, PreparedProblem};
use super::relaxation_memory::NO_SUBSET;

/// The result of a search.
pub(super) struct SearchSummary {
    /// The cheapest sequence found, where it costs less than the known one.
    pub order: Option<Vec<usize>>,
    /// A scaled lower bound on every sequence that costs less than the known one; `None` where
    /// the search was stopped.
    pub bound: Option<i64>,
    /// States that were expanded.
    pub states: u64,
}

/// A set of nodes that are placed, and the last one of them.
struct PartialSequence<const W: usize> {
    done: NodeSet<W>,
    /// The number of its set of watched nodes.
    number: u32,
    last: u16,
    /// The reduced cost so far.
    paid: i32,
    /// The reduced cost so far plus the least that is still to be paid.
    least: i32,
    /// Its index in the layer before.
    parent: u32,
}

/// The memory of one state: it is kept in two layers that may be twice as wide as asked for,
/// with its trail.
pub(super) fn bytes_per_state<const W: usize>(nodes: usize) -> usize {
    4 * size_of::<PartialSequence<W>>() + 64 + nodes * size_of::<(u32, u16)>()
}

/// The states of a layer, in a hash table by their nodes and last node.
struct SearchLayer<const W: usize> {
    states: Vec<PartialSequence<W>>,
    slots: Vec<u32>,
}

const EMPTY: u32 = u32::MAX;
const MIN_SLOTS: usize = 1024;

impl<const W: usize> SearchLayer<W> {
    fn new() -> Self {
        Self {
            states: Vec::new(),
            slots: vec![EMPTY; MIN_SLOTS],
        }
    }

    fn clear(&mut self) {
        self.states.clear();
        self.slots.clear();
        self.slots.resize(MIN_SLOTS, EMPTY);
    }

    /// The slot of a state, or the free slot where it belongs.
    fn slot(&self, state: &PartialSequence<W>) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = state.done.hash(usize::from(state.last)) as usize & mask;
        loop {
            let at = self.slots[slot];
            if at == EMPTY {
                return slot;
            }
            let there = &self.states[at as usize];
            if there.last == state.last && there.done == state.done {
                return slot;
            }
            slot = (slot + 1) & mask;
        }
    }

    fn rebuild(&mut self, size: usize) {
        self.slots.clear();
        self.slots.resize(size, EMPTY);
        for at in 0..self.states.len() {
            let slot = self.slot(&self.states[at]);
            self.slots[slot] = at as u32;
        }
    }

    /// Adds a state, unless it is there at no higher cost.
    fn add(&mut self, state: PartialSequence<W>) {
        if self.states.len() * 2 >= self.slots.len() {
            self.rebuild(self.slots.len() * 2);
        }
        let slot = self.slot(&state);
        if self.slots[slot] == EMPTY {
            self.slots[slot] = self.states.len() as u32;
            self.states.push(state);
        } else {
            let there = &mut self.states[self.slots[slot] as usize];
            if state.paid < there.paid {
                *there = state;
            }
        }
    }

    /// Keeps the best `width` states. Returns a bound on those that go.
    fn trim(&mut self, width: usize) -> i32 {
        let mut leasts: Vec<i32> = self.states.iter().map(|state| state.least).collect();
        let (_, cut, _) = leasts.select_nth_unstable(width);
        let cut = *cut;
        let below = self.states.iter().filter(|state| state.least < cut);
        let mut ties = width - below.count();
        self.states.retain(|state| {
            let tie = state.least == cut && ties > 0;
            ties -= usize::from(tie);
            tie || state.least < cut
        });
        self.rebuild(self.slots.len());
        cut
    }
}

pub(super) struct LayeredSearch<'a, const W: usize> {
    pub problem: &'a PreparedProblem<W>,
    pub arcs: &'a FeasibleArcs<W>,
    pub table: &'a BoundTable<W>,
    pub multipliers: &'a Multipliers,
    /// Sequences with a higher reduced cost are not wanted.
    pub most: i32,
    /// The most states of each layer.
    pub width: usize,
}

impl<const W: usize> LayeredSearch<'_, W> {
    pub fn run(&self, keep_going: &mut dyn FnMut() -> bool) -> SearchSummary {
        let nodes = self.problem.nodes;
        let mut now = SearchLayer::new();
        let mut next = SearchLayer::new();
        let mut trail: Vec<Vec<(u32, u16)>> = Vec::with_capacity(nodes);
        let mut dropped = i32::MAX;
        let mut states = 0u64;
        now.add(PartialSequence {
            done: NodeSet::NONE.with(0),
            number: 0,
            last: 0,
            paid: 0,
            least: 0,
            parent: 0,
        });
        for place in 1..nodes {
            next.clear();
            for (at, state) in now.states.iter().enumerate() {
                states += 1;
                if states.is_multiple_of(1024) && !keep_going() {
                    return SearchSummary {
                        order: None,
                        bound: None,
                        states,
                    };
                }
                self.follow(state, at, place, &mut next);
                if next.states.len() >= 2 * self.width {
                    dropped = dropped.min(next.trim(self.width));
                }
            }
            if next.states.len() > self.width {
                dropped = dropped.min(next.trim(self.width));
            }
            let parents = now.states.iter().map(|state| (state.parent, state.last));
            trail.push(parents.collect());
            std::mem::swap(&mut now, &mut next);
        }
        let end = now.states.first();
        let least = dropped.min(end.map_or(i32::MAX, |end| end.paid));
        let bound = match least {
            // Nothing was left out, and no sequence is cheaper than the known one.
            i32::MAX => i64::MAX,
            _ => i64::from(least) + self.multipliers.sum(),
        };
        SearchSummary {
            order: end.map(|end| order(&trail, end)),
            bound: Some(bound),
            states,
        }
    }

    /// Adds the states that can follow a state.
    fn follow(
        &self,
        state: &PartialSequence<W>,
        at: usize,
        place: usize,
        next: &mut SearchLayer<W>,
    ) {
        let nodes = self.problem.nodes;
        let last = usize::from(state.last);
        let costs = &self.arcs.costs[last * nodes..(last + 1) * nodes];
        for node in self.arcs.allowed_at[place].without(&state.done).iter() {
            if costs[node] >= INFEASIBLE || !self.problem.before[node].is_within(&state.done) {
                continue;
            }
            let number = self.table.memory.after(state.number, node);
            if number == NO_SUBSET {
                continue;
            }
            let slot = self.table.memory.slot(&state.done, node);
            let way = costs[node] * self.multipliers.scale - self.multipliers.values[node];
            let paid = state.paid + way;
            let least = paid + self.table.at(number, place, slot);
            if least <= self.most {
                next.add(PartialSequence {
                    done: state.done.with(node),
                    number,
                    last: node as u16,
                    paid,
                    least,
                    parent: at as u32,
                });
            }
        }
    }
}

/// The sequence that ends in this state.
fn order<const W: usize>(trail: &[Vec<(u32, u16)>], end: &PartialSequence<W>) -> Vec<usize> {
    let mut order = vec![usize::from(end.last)];
    let mut at = end.parent;
    for layer in trail.iter().rev() {
        let (parent, last) = layer[at as usize];
        order.push(usize::from(last));
        at = parent;
    }
    order.reverse();
    order
}
