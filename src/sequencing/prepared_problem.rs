//! A problem made ready for the search: which node may directly follow which, the positions
//! where each node can stand, and costs without what every sequence pays.

use super::node_set::NodeSet;
use super::sop::Sop;

/// A cost that is not allowed: larger than any sum of costs, and two of them fit into an
/// `i32`.
pub(super) const INFEASIBLE: i32 = 1 << 29;

pub(super) struct PreparedProblem<const W: usize> {
    pub nodes: usize,
    /// The cost of each pair, row by row, in units of `unit` above `fixed`; [`INFEASIBLE`]
    /// where the second node cannot directly follow the first.
    pub costs: Vec<i32>,
    /// What every sequence pays.
    pub fixed: i64,
    /// The greatest common divisor of the remaining costs.
    pub unit: i64,
    /// All nodes that must come before each node.
    pub before: Vec<NodeSet<W>>,
    /// All nodes that must come after each node.
    pub after: Vec<NodeSet<W>>,
    /// The first position where each node can stand, from 0.
    pub early: Vec<usize>,
    /// The last position where each node can stand.
    pub late: Vec<usize>,
}

impl<const W: usize> PreparedProblem<W> {
    pub fn new(sop: &Sop) -> Self {
        let nodes = sop.nodes();
        let before = closed(sop);
        let mut after = vec![NodeSet::NONE; nodes];
        for (node, earlier) in before.iter().enumerate() {
            for other in earlier.iter() {
                after[other].insert(node);
            }
        }
        let mut costs = vec![None; nodes * nodes];
        for from in 0..nodes {
            for to in 0..nodes {
                let follows =
                    from != to && !before[from].contains(to) && !after[from].meets(&before[to]);
                if follows {
                    costs[from * nodes + to] = sop.cost(from, to).map(u64::cast_signed);
                }
            }
        }
        let (fixed, unit) = reduce(&mut costs, nodes);
        let small = |cost: Option<i64>| cost.map_or(INFEASIBLE, |cost| cost as i32);
        Self {
            nodes,
            costs: costs.into_iter().map(small).collect(),
            fixed,
            unit,
            early: before.iter().map(NodeSet::len).collect(),
            late: after.iter().map(|after| nodes - 1 - after.len()).collect(),
            before,
            after,
        }
    }

    /// The cost of a pair in units.
    pub fn cost(&self, from: usize, to: usize) -> i32 {
        self.costs[from * self.nodes + to]
    }

    /// The cost of a sequence in units.
    pub fn sum(&self, order: &[usize]) -> i64 {
        let pairs = order.windows(2);
        pairs
            .map(|pair| i64::from(self.cost(pair[0], pair[1])))
            .sum()
    }

    /// A cost in units as a cost of the file.
    pub fn real(&self, units: i64) -> u64 {
        u64::try_from(self.fixed + self.unit * units).unwrap_or(0)
    }
}

/// For each node all nodes before it. The first node comes before all, and the last one after
/// all.
fn closed<const W: usize>(sop: &Sop) -> Vec<NodeSet<W>> {
    let nodes = sop.nodes();
    let mut before = vec![NodeSet::NONE; nodes];
    for node in sop.sorted().iter().copied() {
        let mut all = NodeSet::NONE;
        for other in sop.before(node) {
            all = all.or(&before[*other]).with(*other);
        }
        if node > 0 {
            all.insert(0);
        }
        before[node] = all;
    }
    if nodes > 1 {
        before[nodes - 1] = (0..nodes - 1).fold(NodeSet::NONE, NodeSet::with);
    }
    before
}

/// Subtracts what every sequence pays: the cheapest arc out of each node, then the cheapest
/// arc into each. Then divides by the common factor. Returns the sum and the factor.
fn reduce(costs: &mut [Option<i64>], nodes: usize) -> (i64, i64) {
    let mut fixed = 0;
    let mut take = |costs: &mut [Option<i64>], line: &dyn Fn(usize) -> usize| {
        let least = (0..nodes).filter_map(|at| costs[line(at)]).min();
        for at in 0..nodes {
            if let (Some(cost), Some(least)) = (&mut costs[line(at)], least) {
                *cost -= least;
            }
        }
        fixed += least.unwrap_or(0);
    };
    for from in 0..nodes {
        take(costs, &|to| from * nodes + to);
    }
    for to in 0..nodes {
        take(costs, &|from| from * nodes + to);
    }
    let unit = costs
        .iter()
        .flatten()
        .fold(0, |unit, cost| common(unit, *cost));
    let unit = unit.max(1);
    for cost in costs.iter_mut().flatten() {
        *cost /= unit;
    }
    (fixed, unit)
}

/// The greatest common divisor.
fn common(mut one: i64, mut other: i64) -> i64 {
    while other != 0 {
        (one, other) = (other, one % other);
    }
    one
}
