//! Good sequences fast. The first one is greedy. Then, again and again, some segments of nodes
//! that lie near each other are taken out and each node is put back where it costs least (ruin
//! and recreate: G. Schrimpf et al., *Journal of Computational Physics* 159 (2000); from
//! memory), neighbouring segments are exchanged for as long as that pays, and a worse sequence
//! is accepted with a probability that falls over time (simulated annealing).
//!
//! Exchanging two neighbouring segments keeps the direction of both. It is legal exactly where
//! no node of the first must come before one of the second (L. M. Gambardella, M. Dorigo, "An
//! ant colony system hybridized with a new local search for the sequential ordering problem",
//! *INFORMS Journal on Computing* 12 (2000); from memory). Three arcs go and three come. As
//! the total is a gain, some rotation of the three pairs begins with a gain too (S. Lin, B. W.
//! Kernighan, 1973), so only those are looked at.

use super::prepared_problem::{INFEASIBLE, PreparedProblem};
use super::xorshift::XorShift;

/// Any number would do.
const SEED: u64 = 0x11d_0ff;

pub(super) struct LocalSearch<'a, const W: usize> {
    problem: &'a PreparedProblem<W>,
    chance: XorShift,
    /// The cheapest sequence so far.
    pub best: Vec<usize>,
    /// Its cost.
    pub least: i64,
    current: Vec<usize>,
    sum: i64,
    /// For each position, the first position of a node that must come later; the number of
    /// nodes where there is none.
    next_successor: Vec<usize>,
    place: Vec<usize>,
    /// The direct successors of each node in the precedence.
    next: Vec<Vec<usize>>,
    /// For each node, other nodes that are cheap to go to from it, or to come from.
    near: Vec<Vec<usize>>,
    /// More than any arc costs.
    dear: i32,
}

impl<'a, const W: usize> LocalSearch<'a, W> {
    pub fn new(problem: &'a PreparedProblem<W>) -> Self {
        let nodes = problem.nodes;
        let next = (0..nodes).map(|node| {
            let after = &problem.after[node];
            after
                .iter()
                .filter(|it| !problem.before[*it].meets(after))
                .collect()
        });
        let mut search = Self {
            problem,
            chance: XorShift::new(SEED),
            best: Vec::new(),
            least: i64::MAX,
            current: greedy(problem),
            sum: 0,
            next_successor: vec![nodes; nodes],
            place: vec![0; nodes],
            next: next.collect(),
            near: (0..nodes).map(|node| near(problem, node)).collect(),
            dear: problem
                .costs
                .iter()
                .copied()
                .filter(|it| *it < INFEASIBLE)
                .max()
                .unwrap_or(0)
                + 1,
        };
        search.sum = problem.sum(&search.current);
        search.exchange_segments((0..nodes).collect());
        search
    }

    /// Goes on from this sequence if it is better than the best one.
    pub fn take(&mut self, order: &[usize]) {
        let sum = self.problem.sum(order);
        if sum < self.least {
            self.current = order.to_vec();
            self.sum = sum;
            self.exchange_segments((0..order.len()).collect());
        }
    }

    /// Perturbs the sequence this many times, with a falling temperature.
    pub fn perturb(&mut self, times: usize, keep_going: &mut dyn FnMut() -> bool) {
        let nodes = self.problem.nodes;
        if nodes < 4 {
            return;
        }
        let mean = self.least as f64 / nodes as f64;
        let (hot, cold) = (mean, 0.05 * mean);
        for time in 0..times {
            if time % 64 == 63 && !keep_going() {
                break;
            }
            let (was, cost) = (self.current.clone(), self.sum);
            let touched = self.ruin_and_recreate();
            self.sum = self.problem.sum(&self.current);
            if self.sum < cost + (mean * 2.0).ceil() as i64 {
                self.exchange_segments(touched);
            }
            let ease = hot * (cold / hot).powf(time as f64 / times as f64);
            let luck = -((self.chance.below(1 << 20) + 1) as f64 / f64::from(1 << 20)).ln();
            if (self.sum - cost) as f64 > ease * luck {
                (self.current, self.sum) = (was, cost);
            }
        }
    }

    /// Takes some nodes out and puts each back where it costs least.
    fn ruin_and_recreate(&mut self) -> Vec<usize> {
        let nodes = self.problem.nodes;
        let most = 10.min(nodes - 2);
        let mut out: Vec<usize> = Vec::new();
        let mut about = self.current[1 + self.chance.below(nodes - 2)];
        for _ in 0..1 + self.chance.below(3) {
            let Some(at) = self.current.iter().position(|node| *node == about) else {
                break;
            };
            let long = 1 + self.chance.below(most);
            let low = at.saturating_sub(self.chance.below(long)).max(1);
            let high = (low + long).min(self.current.len() - 1);
            if low < high {
                out.extend(self.current.drain(low..high));
            }
            let near = &self.near[about];
            if near.is_empty() {
                break;
            }
            about = near[self.chance.below(near.len().min(8))];
        }
        // Shuffle.
        for at in (1..out.len()).rev() {
            out.swap(at, self.chance.below(at + 1));
        }
        let mut touched = Vec::with_capacity(3 * out.len());
        for node in out {
            let (before, after) = (&self.problem.before[node], &self.problem.after[node]);
            let low = self
                .current
                .iter()
                .rposition(|it| before.contains(*it))
                .unwrap_or(0);
            let mut best = (i64::MAX, low);
            for at in low..self.current.len() - 1 {
                let (from, to) = (self.current[at], self.current[at + 1]);
                let more = self.open(from, node) + self.open(node, to) - self.open(from, to);
                if more < best.0 && (best.0 == i64::MAX || self.chance.below(100) > 0) {
                    best = (more, at);
                }
                if after.contains(to) {
                    break;
                }
            }
            touched.extend([self.current[best.1], node, self.current[best.1 + 1]]);
            self.current.insert(best.1 + 1, node);
        }
        touched
    }

    /// The cost of an arc that may not be allowed, while nodes are missing.
    fn open(&self, from: usize, to: usize) -> i64 {
        i64::from(self.problem.cost(from, to).min(self.dear))
    }

    /// Exchanges the segment from `a + 1` to `b` with the one from `b + 1` to `c`.
    fn exchange(&mut self, a: usize, b: usize, c: usize) {
        self.sum -= i64::from(self.gain(a, b, c));
        self.current[a + 1..=c].rotate_left(b - a);
        self.mark();
    }

    fn mark(&mut self) {
        for (at, node) in self.current.iter().enumerate() {
            self.place[*node] = at;
        }
        for (at, node) in self.current.iter().enumerate() {
            let places = self.next[*node].iter().map(|next| self.place[*next]);
            self.next_successor[at] = places.min().unwrap_or(self.current.len());
        }
    }

    fn pair(&self, from: usize, to: usize) -> i32 {
        self.problem.cost(self.current[from], self.current[to])
    }

    fn gain(&self, a: usize, b: usize, c: usize) -> i32 {
        let gone = self.pair(a, a + 1) + self.pair(b, b + 1) + self.pair(c, c + 1);
        gone - self.pair(a, b + 1) - self.pair(c, a + 1) - self.pair(b, c + 1)
    }

    /// Exchanges segments for as long as that pays, starting beside these nodes.
    fn exchange_segments(&mut self, mut dirty: Vec<usize>) {
        self.mark();
        while let Some(node) = dirty.pop() {
            while let Some((a, b, c)) = self.improving_exchange(self.place[node]) {
                for at in [a, b, c] {
                    dirty.extend([self.current[at], self.current[at + 1]]);
                }
                self.exchange(a, b, c);
            }
        }
        if self.sum < self.least {
            self.least = self.sum;
            self.best.clone_from(&self.current);
        }
    }

    /// The first improving exchange that removes the arc after this position.
    fn improving_exchange(&self, at: usize) -> Option<(usize, usize, usize)> {
        let nodes = self.current.len();
        if at + 1 >= nodes {
            return None;
        }
        let gone = self.pair(at, at + 1);
        let end = nodes - 1;
        // The arc is the first of the three.
        let mut next_successor = end;
        for b in at + 1..end {
            next_successor = next_successor.min(self.next_successor[b]);
            if next_successor <= b + 1 {
                break;
            }
            if self.pair(at, b + 1) < gone {
                for c in b + 1..next_successor {
                    if self.gain(at, b, c) > 0 {
                        return Some((at, b, c));
                    }
                }
            }
        }
        // The arc is the second.
        if at > 0 {
            for c in at + 1..end.min(self.next_successor[at]) {
                if self.pair(at, c + 1) < gone {
                    for a in (0..at).rev() {
                        if self.next_successor[a + 1] <= c {
                            break;
                        }
                        if self.gain(a, at, c) > 0 {
                            return Some((a, at, c));
                        }
                    }
                }
            }
        }
        // The arc is the third.
        if at >= 2 && at < end {
            for a in 0..at - 1 {
                if self.pair(at, a + 1) < gone {
                    for b in a + 1..at {
                        if self.next_successor[b] <= at {
                            break;
                        }
                        if self.gain(a, b, at) > 0 {
                            return Some((a, b, at));
                        }
                    }
                }
            }
        }
        None
    }
}

/// Always appends the cheapest node that may come next.
fn greedy<const W: usize>(problem: &PreparedProblem<W>) -> Vec<usize> {
    let mut order = vec![0];
    let mut done = super::node_set::NodeSet::<W>::NONE.with(0);
    let mut last = 0;
    while order.len() < problem.nodes {
        let free = (0..problem.nodes)
            .filter(|node| !done.contains(*node) && problem.before[*node].is_within(&done));
        let next = free.min_by_key(|node| problem.cost(last, *node));
        let Some(next) = next else { break };
        order.push(next);
        done.insert(next);
        last = next;
    }
    order
}

/// The other nodes, the cheapest arc first.
fn near<const W: usize>(problem: &PreparedProblem<W>, node: usize) -> Vec<usize> {
    let cost = |it: usize| problem.cost(node, it).min(problem.cost(it, node));
    let mut near: Vec<usize> = (1..problem.nodes - 1)
        .filter(|it| *it != node && cost(*it) < INFEASIBLE)
        .collect();
    near.sort_by_key(|it| cost(*it));
    near.truncate(16);
    near
}
