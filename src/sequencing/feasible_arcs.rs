//! The arcs and positions that an improving sequence can still use.

use super::node_set::NodeSet;
use super::prepared_problem::{INFEASIBLE, PreparedProblem};

/// What a sequence that costs less than the best one known can still use.
pub(super) struct FeasibleArcs<const W: usize> {
    /// The cost of each pair, as in the prepared problem.
    pub costs: Vec<i32>,
    /// The nodes that can stand at each position.
    pub allowed_at: Vec<NodeSet<W>>,
}

impl<const W: usize> FeasibleArcs<W> {
    /// What a sequence that costs less than `least` can use.
    pub fn new(problem: &PreparedProblem<W>, least: i64) -> Self {
        let nodes = problem.nodes;
        let cheap = |cost: &i32| {
            if i64::from(*cost) < least {
                *cost
            } else {
                INFEASIBLE
            }
        };
        let allowed_at = (0..nodes).map(|place| {
            let fits = |node: &usize| problem.early[*node] <= place && place <= problem.late[*node];
            (0..nodes).filter(fits).fold(NodeSet::NONE, NodeSet::with)
        });
        Self {
            costs: problem.costs.iter().map(cheap).collect(),
            allowed_at: allowed_at.collect(),
        }
    }

    /// The number of pairs that may follow each other.
    pub fn count(&self) -> usize {
        self.costs.iter().filter(|cost| **cost < INFEASIBLE).count()
    }
}
