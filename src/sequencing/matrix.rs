//! A problem made ready: which node may come right after which, in which places
//! of the order a node can stand, and the costs with all that is common to every
//! order taken out.

use super::set::Set;
use super::sop::Sop;

/// No way: larger than any sum of costs, and two of them fit in an `i32`.
pub(super) const NEVER: i32 = 1 << 29;

/// A problem made ready.
pub(super) struct Matrix<const W: usize> {
    /// How many nodes.
    pub nodes: usize,
    /// The cost of each pair, row by row, in `unit`s above `fixed`; [`NEVER`] where
    /// the second cannot come right after the first in any order.
    pub costs: Vec<i32>,
    /// What every order pays.
    pub fixed: i64,
    /// What one unit of the costs is worth.
    pub unit: i64,
    /// The nodes that come before each node, all of them.
    pub before: Vec<Set<W>>,
    /// The nodes that come after each node, all of them.
    pub after: Vec<Set<W>>,
    /// The first place in the order where each node can stand, from 0.
    pub early: Vec<usize>,
    /// The last place in the order where each node can stand.
    pub late: Vec<usize>,
}

impl<const W: usize> Matrix<W> {
    /// Makes a problem ready.
    pub fn new(sop: &Sop) -> Self {
        let nodes = sop.nodes();
        let before = closed(sop);
        let mut after = vec![Set::NONE; nodes];
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
        let small = |cost: Option<i64>| cost.map_or(NEVER, |cost| cost as i32);
        Self {
            nodes,
            costs: costs.into_iter().map(small).collect(),
            fixed,
            unit,
            early: before.iter().map(Set::len).collect(),
            late: after.iter().map(|after| nodes - 1 - after.len()).collect(),
            before,
            after,
        }
    }

    /// The cost of a pair in units.
    pub fn cost(&self, from: usize, to: usize) -> i32 {
        self.costs[from * self.nodes + to]
    }

    /// What an order costs, in units.
    pub fn sum(&self, order: &[usize]) -> i64 {
        let pairs = order.windows(2);
        pairs
            .map(|pair| i64::from(self.cost(pair[0], pair[1])))
            .sum()
    }

    /// Units in the costs of the file.
    pub fn real(&self, units: i64) -> u64 {
        u64::try_from(self.fixed + self.unit * units).unwrap_or(0)
    }
}

/// For each node the nodes before it; the first node comes before all, and the
/// last one after all.
fn closed<const W: usize>(sop: &Sop) -> Vec<Set<W>> {
    let nodes = sop.nodes();
    let mut before = vec![Set::NONE; nodes];
    for node in sop.sorted().iter().copied() {
        let mut all = Set::NONE;
        for other in sop.before(node) {
            all = all.or(&before[*other]).with(*other);
        }
        if node > 0 {
            all.insert(0);
        }
        before[node] = all;
    }
    if nodes > 1 {
        before[nodes - 1] = (0..nodes - 1).fold(Set::NONE, Set::with);
    }
    before
}

/// Takes out what every order pays: the least way out of each node, then the
/// least way into each, then the common factor. Returns the sum and the factor.
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
