//! An exact solver for the sequential ordering problem: put a fixed set of nodes into a
//! sequence, at the least sum of the costs of consecutive nodes, where some nodes must come
//! before others (L. F. Escudero, "An inexact algorithm for the sequential ordering problem",
//! *European Journal of Operational Research* 37 (1988); from memory). Published instances
//! with known optima check it. It reads no clock: the caller says when to stop. The planner
//! does not use it, and the app on the phone does not contain it.
//!
//! # How it works
//!
//! * **Preparation** (`prepared_problem`). The precedence is closed transitively. Node *j*
//!   cannot follow *i* directly where *j* must come before *i*, or something must come between
//!   them. The cheapest arc out of each node and into each node is paid by every sequence and
//!   is subtracted; the rest is divided by its common factor.
//! * **Upper bound** (`local_search`). Ruin and recreate, and the exchange of neighbouring
//!   segments, with simulated annealing. Nothing that costs as much as the best known sequence
//!   needs to be expanded.
//! * **Lower bound** (`relaxation_memory`, `bound_table`, `multipliers`, `lagrangian_ascent`).
//!   A sequence is a path through states (the placed nodes and the last one). A relaxed
//!   sequence forgets most placed nodes and knows only how many there are (state-space
//!   relaxation: N. Christofides, A. Mingozzi, P. Toth, *Networks* 11 (1981); from memory), so
//!   it can visit a node twice and leave another one out. Two things are remembered. For
//!   *watched* nodes, exactly which of them are placed. And at each node a few nodes that it
//!   would be tempting to return to (ng-routes: R. Baldacci, A. Mingozzi, R. Roberti,
//!   *Operations Research* 59 (2011); from memory). Lagrangian multipliers on the nodes make
//!   it expensive to visit a node twice (M. Held, R. M. Karp, *Operations Research* 18 (1970),
//!   *Mathematical Programming* 1 (1971); from memory). Where that closes much of the gap,
//!   they start from the dual values of the assignment problem (`assignment`), and the bound
//!   is never below that. A table, filled from the end, holds the least remaining cost of each
//!   state of the relaxation: a lower bound for every state of the exact search in one lookup.
//! * **Elimination** (`bound_table`, `feasible_arcs`). Filled from the start as well, the
//!   table gives the least cost of a relaxed sequence through each arc and each position of a
//!   node. What costs as much as the best known sequence is eliminated.
//! * **Exact search** (`layered_search`). Dynamic programming over all states with one node
//!   placed, with two, and so on (M. Held, R. M. Karp, *Journal of SIAM* 10 (1962); from
//!   memory), without the states whose bound is too high. Where a layer has more states than
//!   fit into memory, the best are kept. That finds good sequences, and the least bound of
//!   what was dropped bounds all sequences. Where nothing was dropped, the best sequence is
//!   proven optimal.
//! * **Control** (`solver`). Rounds, each with twice the work: search a wider layer, improve
//!   the sequence, remember more, find better multipliers. Watching more nodes suits dense
//!   precedence, remembering more at each node suits sparse precedence; both are tried each
//!   time.
//!
//! All sums are whole numbers, so that the bound is exact. Work is counted and not timed, so
//! that the same problem takes the same course on every machine, for as long as it is allowed
//! to run.

mod assignment;
mod bound_table;
mod feasible_arcs;
mod lagrangian_ascent;
mod layered_search;
mod local_search;
mod multipliers;
mod node_set;
mod prepared_problem;
mod relaxation_memory;
mod solver;
mod sop;
mod xorshift;

pub use sop::{MAX_COST, MAX_NODES, Sop, SopError};

use prepared_problem::PreparedProblem;

/// A sequence of all nodes, with its cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Solution {
    /// The nodes from first to last, numbered from 0.
    pub order: Vec<usize>,
    /// The sum of the costs of consecutive nodes.
    pub cost: u64,
    /// No sequence costs less.
    pub bound: u64,
    /// States that the exact search expanded.
    pub states: u64,
}

impl Solution {
    pub fn is_proven(&self) -> bool {
        self.cost == self.bound
    }
}

/// The default memory for tables and layers, in bytes.
pub const DEFAULT_MEMORY: usize = 2 << 30;

/// Finds the cheapest sequence, or a good one and a lower bound. It ends when the sequence is
/// proven optimal, when the next round would need more than `memory` bytes, or soon after
/// `keep_going` returns `false`; from then on it must return nothing else.
///
/// # Example
///
/// Three nodes between a start and an end; the third must come before the second.
///
/// ```
/// use lidoff_sequencing::{DEFAULT_MEMORY, Sop, solve};
///
/// // Row i, column j is the cost of j directly after i; -1 says that j comes before i.
/// let sop = Sop::parse(
///     "TYPE: SOP
///      EDGE_WEIGHT_SECTION
///      5
///       0  4  1  2  9
///      -1  0  3  6  5
///      -1  2  0 -1  7
///      -1  8  1  0  6
///      -1 -1 -1 -1  0
///      EOF",
/// )?;
/// let solution = solve(&sop, DEFAULT_MEMORY, &mut || true);
/// // 0 → 3 costs 2, 3 → 2 costs 1, 2 → 1 costs 2 and 1 → 4 costs 5.
/// assert_eq!(solution.order, [0, 3, 2, 1, 4]);
/// assert_eq!(solution.cost, 2 + 1 + 2 + 5);
/// assert!(solution.is_proven());
/// # Ok::<(), lidoff_sequencing::SopError>(())
/// ```
pub fn solve(sop: &Sop, memory: usize, keep_going: &mut dyn FnMut() -> bool) -> Solution {
    match sop.nodes() {
        0..=64 => with::<1>(sop, memory, keep_going),
        65..=128 => with::<2>(sop, memory, keep_going),
        129..=256 => with::<4>(sop, memory, keep_going),
        257..=384 => with::<6>(sop, memory, keep_going),
        _ => with::<{ MAX_NODES / 64 }>(sop, memory, keep_going),
    }
}

/// Solves with sets of up to `64 * W` nodes.
fn with<const W: usize>(
    sop: &Sop,
    memory: usize,
    keep_going: &mut dyn FnMut() -> bool,
) -> Solution {
    let matrix = PreparedProblem::<W>::new(sop);
    let found = solver::solve_prepared(&matrix, memory, keep_going);
    Solution {
        order: found.order,
        cost: matrix.real(found.least),
        bound: matrix.real(found.bound),
        states: found.states,
    }
}
