//! The ordering engine by itself: a fixed set of jobs, a cost for each pair that
//! follow each other, and which must come before which (the sequential ordering
//! problem). The search is the planner's own; published instances with known
//! optima check it.

mod sop;

pub use sop::{Sop, SopError};

use super::bits::Bits;
use super::request::Limits;
use super::search::{Found, Space, search};

/// An order of all nodes, with what it costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ordered {
    /// Nodes from 0, first to last.
    pub order: Vec<usize>,
    /// Sum of the costs of following nodes.
    pub cost: u64,
    /// No order costs less.
    pub bound: u64,
    /// Whether the two are equal.
    pub proven: bool,
    /// States that the search looked at.
    pub states: usize,
}

/// Finds the cheapest order; `None` where there is none, or where the limit was
/// met before one was found.
///
/// A state is the set of nodes that are done and the last of them. The bound is
/// the sum, over the nodes that are left, of the cheapest way into each from a
/// node that may come right before it.
pub fn solve(sop: &Sop, limits: Limits) -> Option<Ordered> {
    let space = Sequence { sop };
    match search(&space, limits.states) {
        Found::Path {
            acts,
            cost,
            bound,
            states,
        } => {
            let order = std::iter::once(0).chain(acts).collect();
            Some(Ordered {
                order,
                cost,
                bound,
                proven: bound == cost,
                states,
            })
        }
        Found::Nothing | Found::Limit { .. } => None,
    }
}

struct Sequence<'a> {
    sop: &'a Sop,
}

impl Space for Sequence<'_> {
    type State = (Bits, usize);
    type Place = (Bits, usize);
    type Act = usize;

    fn place(&self, state: &Self::State) -> Self::Place {
        state.clone()
    }

    fn covers(&self, _: &Self::State, cost: u64, _: &Self::State, others: u64) -> bool {
        cost <= others
    }

    fn start(&self) -> Self::State {
        let mut done = Bits::none(self.sop.nodes());
        done.insert(0);
        (done, 0)
    }

    fn is_end(&self, (done, _): &Self::State) -> bool {
        (0..self.sop.nodes()).all(|node| done.contains(node))
    }

    fn bound(&self, (done, last): &Self::State) -> Option<u64> {
        let left = || (0..self.sop.nodes()).filter(|node| !done.contains(*node));
        left().try_fold(0, |sum, into| {
            let from = left()
                .chain(std::iter::once(*last))
                .filter(|from| *from != into);
            let ways = from.filter_map(|from| self.sop.cost(from, into));
            Some(sum + ways.min()?)
        })
    }

    fn moves(&self, (done, last): &Self::State, into: &mut Vec<(usize, Self::State, u64)>) {
        for next in 0..self.sop.nodes() {
            if done.contains(next)
                || self
                    .sop
                    .before(next)
                    .iter()
                    .any(|node| !done.contains(*node))
            {
                continue;
            }
            if let Some(cost) = self.sop.cost(*last, next) {
                let mut more = done.clone();
                more.insert(next);
                into.push((next, (more, next), cost));
            }
        }
    }
}
