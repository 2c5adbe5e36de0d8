//! The ordering engine by itself: a fixed set of jobs, a cost for each pair that
//! follow each other, and which must come before which (the sequential ordering
//! problem; L. F. Escudero, "An inexact algorithm for the sequential ordering
//! problem", EJOR 37 (1988); from memory). Published instances with known optima
//! check it. It knows no clock: who calls says when to stop. The planner does not
//! use it, and the app on the phone does not contain it.
//!
//! # How
//!
//! * **Made ready** (`matrix`). The precedence is closed. *j* cannot come right
//!   after *i* where *j* comes before *i*, or something must come between them.
//!   The least way out of each node and into each node is paid by every order, and
//!   what is left is divided by its common factor.
//! * **Good orders** (`improve`): ruin and recreate, and the exchange of
//!   neighbouring stretches, cooling down. What everything below is measured with:
//!   nothing that costs as much needs to be looked at.
//! * **The bound** (`memory`, `relax`, `ascent`). An order is a way through states
//!   (what is done, what came last). A relaxed order forgets most of what is done,
//!   and knows only how many nodes came (state-space relaxation: N. Christofides,
//!   A. Mingozzi, P. Toth, Networks 11 (1981); from memory); so it can visit a node
//!   twice and leave another one out. Two things are remembered. *Watched* nodes:
//!   exactly which of these are done, and with it what must come before and after
//!   them. Nodes *kept in mind*: at each node those few that it would be tempting
//!   to come back to (ng-routes: R. Baldacci, A. Mingozzi, R. Roberti, Operations
//!   Research 59 (2011); from memory). Prices on the nodes make it dear to visit
//!   one twice (M. Held, R. M. Karp, Operations Research 18 (1970), Mathematical
//!   Programming 1 (1971); from memory); where that closes much of what is left,
//!   they begin as what the cheapest assignment of a next node to each node pays
//!   for (`assignment`), and are never below it. A table, filled from the end, has the
//!   least that is still to be paid for each state of the relaxed order: it bounds
//!   every state of the exact search in one look.
//! * **Less to look at** (`relax`, `strike`). Filled from the start as well, the
//!   table says what each pair and each place of a node costs a relaxed order at
//!   the least. What costs as much as the best order known is struck out.
//! * **The exact search** (`layers`): all states with one node done, with two, and
//!   so on (dynamic programming; M. Held, R. M. Karp, J. SIAM 10 (1962); from
//!   memory), less those whose bound is too high. A state that is reached twice is
//!   kept once. Where a layer has more states than there is room for, the best are
//!   kept; that finds good orders, and the least bound of what was left out is a
//!   bound for all. Where nothing was left out, the best order is proven.
//! * **Who does what when** (`engine`). Rounds, each of twice the work: search a
//!   wider layer, improve the order, remember more, find better prices. To watch
//!   more suits dense precedence, to keep in mind suits a sparse one; both are
//!   tried each time.
//!
//! All sums are whole numbers, so that the bound is exact; work is counted and not
//! timed, so that the same problem goes the same way everywhere, as far as it is
//! let.

mod ascent;
mod assignment;
mod chance;
mod engine;
mod improve;
mod layers;
mod matrix;
mod memory;
mod relax;
mod set;
mod sop;

pub use sop::{MOST_COST, MOST_NODES, Sop, SopError};

use matrix::Matrix;

/// An order of all nodes, with what it costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ordered {
    /// Nodes from 0, first to last.
    pub order: Vec<usize>,
    /// Sum of the costs of following nodes.
    pub cost: u64,
    /// No order costs less.
    pub bound: u64,
    /// States that the exact search looked at.
    pub states: u64,
}

impl Ordered {
    /// Whether this is the cheapest order there is.
    pub fn is_proven(&self) -> bool {
        self.cost == self.bound
    }
}

/// The memory that tables and layers are given if nothing else is said, in bytes.
pub const USUAL_MEMORY: usize = 2 << 30;

/// Finds the cheapest order, or a good one and a bound: it ends when the order is
/// proven to be the cheapest, when the next round would need more than `memory`
/// bytes, or soon after `going` has said `false`, which it must then keep to.
pub fn solve(sop: &Sop, memory: usize, going: &mut dyn FnMut() -> bool) -> Ordered {
    match sop.nodes() {
        0..=64 => with::<1>(sop, memory, going),
        65..=128 => with::<2>(sop, memory, going),
        129..=256 => with::<4>(sop, memory, going),
        257..=384 => with::<6>(sop, memory, going),
        _ => with::<{ MOST_NODES / 64 }>(sop, memory, going),
    }
}

/// With sets of `64 * W` nodes.
fn with<const W: usize>(sop: &Sop, memory: usize, going: &mut dyn FnMut() -> bool) -> Ordered {
    let matrix = Matrix::<W>::new(sop);
    let found = engine::work(&matrix, memory, going);
    Ordered {
        order: found.order,
        cost: matrix.real(found.least),
        bound: matrix.real(found.bound),
        states: found.states,
    }
}
