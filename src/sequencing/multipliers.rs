//! Lagrangian multipliers on the nodes.

use super::assignment::assignment_duals;
use super::prepared_problem::{INFEASIBLE, PreparedProblem};

/// Lagrangian multipliers: entering a node earns its multiplier, and every sequence pays all
/// of them at the outset. That changes no sequence's cost, but a relaxed sequence pays for
/// leaving a node out and for visiting one twice (Held and Karp 1970/71).
#[derive(Clone)]
pub(super) struct Multipliers {
    /// One for each node, scaled.
    pub values: Vec<i32>,
    /// The fixed-point scale: so many parts of a unit.
    pub scale: i32,
}

/// The largest multiplier, so that no sum of them overflows 32 bits.
pub(super) const fn max_multiplier(nodes: usize) -> i32 {
    INFEASIBLE / 2 / nodes as i32
}

impl Multipliers {
    pub fn none(nodes: usize, scale: i32) -> Self {
        Self {
            values: vec![0; nodes],
            scale,
        }
    }

    /// Multipliers at which no relaxed sequence costs less than the cheapest assignment of a
    /// next node to each node.
    pub fn of_assignment<const W: usize>(problem: &PreparedProblem<W>, scale: i32) -> Self {
        let mut multipliers = Self::none(problem.nodes, scale);
        // Each node but the last one has a next node, which is any but the first one.
        let rest = problem.nodes.saturating_sub(1);
        let cost = |from: usize, next: usize| {
            let cost = problem.cost(from, next + 1);
            (cost < INFEASIBLE).then(|| i64::from(cost))
        };
        if let Some(assignment_duals) = assignment_duals(rest, rest, cost) {
            let mut sums = assignment_duals.rows;
            sums.push(0);
            for (sum, column) in sums.iter_mut().skip(1).zip(assignment_duals.columns) {
                *sum += column;
            }
            let max_multiplier = i64::from(max_multiplier(problem.nodes));
            for (multiplier, sum) in multipliers.values.iter_mut().zip(sums) {
                *multiplier =
                    (sum * i64::from(scale)).clamp(-max_multiplier, max_multiplier) as i32;
            }
        }
        multipliers
    }

    /// The sum that every sequence pays: nobody enters the first node.
    pub fn sum(&self) -> i64 {
        let paid = self.values.iter().skip(1);
        paid.map(|multiplier| i64::from(*multiplier)).sum()
    }
}
