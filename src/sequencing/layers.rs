//! The exact search, layer by layer: all states with one node done, with two, and
//! so on. Where a layer has too many, the best are kept, and the search finds good
//! orders and a bound, but proves nothing.

use super::matrix::{Matrix, NEVER};
use super::memory::NOWHERE;
use super::relax::{Prices, Table, Ways};
use super::set::Set;

/// What a search came to.
pub(super) struct Visited {
    /// The cheapest order that it found, if it costs less than was asked.
    pub order: Option<Vec<usize>>,
    /// No order costs less than this, in parts of a unit, nor than the one asked;
    /// `None` where the search was stopped.
    pub bound: Option<i64>,
    /// How many states were looked at.
    pub states: u64,
}

/// A set of nodes that is done, and the last of them.
struct State<const W: usize> {
    done: Set<W>,
    /// The number of the watched nodes among these.
    number: u32,
    last: u16,
    /// Paid so far, prices taken off.
    paid: i32,
    /// Paid, and still to be paid at the least.
    least: i32,
    /// Its place in the layer before.
    parent: u32,
}

/// What a state takes in memory, kept in two layers that may be twice as wide as
/// asked, with its trail.
pub(super) fn bytes_per_state<const W: usize>(nodes: usize) -> usize {
    4 * size_of::<State<W>>() + 64 + nodes * size_of::<(u32, u16)>()
}

/// The states of a layer, to be found by what is done and last.
struct Layer<const W: usize> {
    states: Vec<State<W>>,
    slots: Vec<u32>,
}

const EMPTY: u32 = u32::MAX;
const FEWEST_SLOTS: usize = 1024;

impl<const W: usize> Layer<W> {
    fn new() -> Self {
        Self {
            states: Vec::new(),
            slots: vec![EMPTY; FEWEST_SLOTS],
        }
    }

    fn clear(&mut self) {
        self.states.clear();
        self.slots.clear();
        self.slots.resize(FEWEST_SLOTS, EMPTY);
    }

    /// Where a state is, or would be.
    fn slot(&self, state: &State<W>) -> usize {
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

    /// Adds a state, unless it is there for as little.
    fn add(&mut self, state: State<W>) {
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

    /// Keeps the best `width`, of which there are more; a bound of what goes.
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

/// What is searched.
pub(super) struct Search<'a, const W: usize> {
    pub matrix: &'a Matrix<W>,
    pub ways: &'a Ways<W>,
    pub table: &'a Table<W>,
    pub prices: &'a Prices,
    /// Orders that pay more than this, the prices taken off, are not asked for.
    pub most: i32,
    /// So many states of each layer are kept.
    pub width: usize,
}

impl<const W: usize> Search<'_, W> {
    /// Searches; `going` may say no.
    pub fn run(&self, going: &mut dyn FnMut() -> bool) -> Visited {
        let nodes = self.matrix.nodes;
        let mut now = Layer::new();
        let mut next = Layer::new();
        let mut trail: Vec<Vec<(u32, u16)>> = Vec::with_capacity(nodes);
        let mut dropped = i32::MAX;
        let mut states = 0u64;
        now.add(State {
            done: Set::NONE.with(0),
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
                if states.is_multiple_of(1024) && !going() {
                    return Visited {
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
            // Nothing was left out, and no order is cheaper than asked.
            i32::MAX => i64::MAX,
            _ => i64::from(least) + self.prices.sum(),
        };
        Visited {
            order: end.map(|end| order(&trail, end)),
            bound: Some(bound),
            states,
        }
    }

    /// Adds what can come after a state.
    fn follow(&self, state: &State<W>, at: usize, place: usize, next: &mut Layer<W>) {
        let nodes = self.matrix.nodes;
        let last = usize::from(state.last);
        let costs = &self.ways.costs[last * nodes..(last + 1) * nodes];
        for node in self.ways.stands[place].without(&state.done).iter() {
            if costs[node] >= NEVER || !self.matrix.before[node].is_within(&state.done) {
                continue;
            }
            let number = self.table.memory.after(state.number, node);
            if number == NOWHERE {
                continue;
            }
            let slot = self.table.memory.slot(&state.done, node);
            let way = costs[node] * self.prices.parts - self.prices.prices[node];
            let paid = state.paid + way;
            let least = paid + self.table.at(number, place, slot);
            if least <= self.most {
                next.add(State {
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

/// The order that ends in this state.
fn order<const W: usize>(trail: &[Vec<(u32, u16)>], end: &State<W>) -> Vec<usize> {
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
