//! Good orders fast: a greedy first one; then, again and again, some stretches of
//! nodes that lie near each other are taken out and each node is put back where it
//! costs least (ruin and recreate: G. Schrimpf et al., J. Computational Physics
//! 159 (2000); from memory), two neighbouring stretches change places for as long
//! as that pays, and a worse order is taken the more rarely the longer it goes on
//! (simulated annealing).
//!
//! Exchanging two neighbouring stretches keeps the direction of both, so that it
//! is legal exactly when no node of the first comes before one of the second
//! (L. M. Gambardella, M. Dorigo, "An ant colony system hybridized with a new
//! local search for the sequential ordering problem", INFORMS Journal on
//! Computing 12 (2000); from memory). Three pairs go and three come. As the sum
//! of what goes less what comes is a gain, some turn of the three begins with a
//! gain too (S. Lin, B. W. Kernighan 1973), and only those are looked at.

use super::chance::Chance;
use super::matrix::{Matrix, NEVER};

/// Any number does.
const SEED: u64 = 0x11d_0ff;

/// Looks for good orders from one to the next.
pub(super) struct Improver<'a, const W: usize> {
    matrix: &'a Matrix<W>,
    chance: Chance,
    /// The cheapest order so far.
    pub best: Vec<usize>,
    /// What it costs.
    pub least: i64,
    now: Vec<usize>,
    sum: i64,
    /// For each place, the first place of a node that must come later; one more
    /// than the last where there is none.
    fence: Vec<usize>,
    place: Vec<usize>,
    /// Immediately after each node in the precedence.
    next: Vec<Vec<usize>>,
    /// The nodes that it is cheap to go to from each, or to come from.
    near: Vec<Vec<usize>>,
    /// More than any pair costs.
    dear: i32,
}

impl<'a, const W: usize> Improver<'a, W> {
    pub fn new(matrix: &'a Matrix<W>) -> Self {
        let nodes = matrix.nodes;
        let next = (0..nodes).map(|node| {
            let after = &matrix.after[node];
            after
                .iter()
                .filter(|it| !matrix.before[*it].meets(after))
                .collect()
        });
        let mut it = Self {
            matrix,
            chance: Chance::new(SEED),
            best: Vec::new(),
            least: i64::MAX,
            now: greedy(matrix),
            sum: 0,
            fence: vec![nodes; nodes],
            place: vec![0; nodes],
            next: next.collect(),
            near: (0..nodes).map(|node| near(matrix, node)).collect(),
            dear: matrix
                .costs
                .iter()
                .copied()
                .filter(|it| *it < NEVER)
                .max()
                .unwrap_or(0)
                + 1,
        };
        it.sum = matrix.sum(&it.now);
        it.settle((0..nodes).collect());
        it
    }

    /// Goes on from this order where it is better than the best.
    pub fn take(&mut self, order: &[usize]) {
        let sum = self.matrix.sum(order);
        if sum < self.least {
            self.now = order.to_vec();
            self.sum = sum;
            self.settle((0..order.len()).collect());
        }
    }

    /// Kicks so many times, and cools down over them.
    pub fn kick(&mut self, times: usize, going: &mut dyn FnMut() -> bool) {
        let nodes = self.matrix.nodes;
        if nodes < 4 {
            return;
        }
        let mean = self.least as f64 / nodes as f64;
        let (hot, cold) = (mean, 0.05 * mean);
        for time in 0..times {
            if time % 64 == 63 && !going() {
                break;
            }
            let (was, cost) = (self.now.clone(), self.sum);
            let touched = self.ruin();
            self.sum = self.matrix.sum(&self.now);
            if self.sum < cost + (mean * 2.0).ceil() as i64 {
                self.settle(touched);
            }
            let ease = hot * (cold / hot).powf(time as f64 / times as f64);
            let luck = -((self.chance.below(1 << 20) + 1) as f64 / f64::from(1 << 20)).ln();
            if (self.sum - cost) as f64 > ease * luck {
                (self.now, self.sum) = (was, cost);
            }
        }
    }

    /// Takes some nodes out and puts each back where it costs least.
    fn ruin(&mut self) -> Vec<usize> {
        let nodes = self.matrix.nodes;
        let most = 10.min(nodes - 2);
        let mut out: Vec<usize> = Vec::new();
        let mut about = self.now[1 + self.chance.below(nodes - 2)];
        for _ in 0..1 + self.chance.below(3) {
            let Some(at) = self.now.iter().position(|node| *node == about) else {
                break;
            };
            let long = 1 + self.chance.below(most);
            let low = at.saturating_sub(self.chance.below(long)).max(1);
            let high = (low + long).min(self.now.len() - 1);
            if low < high {
                out.extend(self.now.drain(low..high));
            }
            let near = &self.near[about];
            if near.is_empty() {
                break;
            }
            about = near[self.chance.below(near.len().min(8))];
        }
        // Shuffled.
        for at in (1..out.len()).rev() {
            out.swap(at, self.chance.below(at + 1));
        }
        let mut touched = Vec::with_capacity(3 * out.len());
        for node in out {
            let (before, after) = (&self.matrix.before[node], &self.matrix.after[node]);
            let low = self
                .now
                .iter()
                .rposition(|it| before.contains(*it))
                .unwrap_or(0);
            let mut best = (i64::MAX, low);
            for at in low..self.now.len() - 1 {
                let (from, to) = (self.now[at], self.now[at + 1]);
                let more = self.open(from, node) + self.open(node, to) - self.open(from, to);
                if more < best.0 && (best.0 == i64::MAX || self.chance.below(100) > 0) {
                    best = (more, at);
                }
                if after.contains(to) {
                    break;
                }
            }
            touched.extend([self.now[best.1], node, self.now[best.1 + 1]]);
            self.now.insert(best.1 + 1, node);
        }
        touched
    }

    /// The cost of a pair that is not necessarily next to each other in the end.
    fn open(&self, from: usize, to: usize) -> i64 {
        i64::from(self.matrix.cost(from, to).min(self.dear))
    }

    /// Exchanges the stretches after `a` up to `b` and after `b` up to `c`.
    fn exchange(&mut self, a: usize, b: usize, c: usize) {
        self.sum -= i64::from(self.gain(a, b, c));
        self.now[a + 1..=c].rotate_left(b - a);
        self.mark();
    }

    fn mark(&mut self) {
        for (at, node) in self.now.iter().enumerate() {
            self.place[*node] = at;
        }
        for (at, node) in self.now.iter().enumerate() {
            let places = self.next[*node].iter().map(|next| self.place[*next]);
            self.fence[at] = places.min().unwrap_or(self.now.len());
        }
    }

    fn pair(&self, from: usize, to: usize) -> i32 {
        self.matrix.cost(self.now[from], self.now[to])
    }

    fn gain(&self, a: usize, b: usize, c: usize) -> i32 {
        let gone = self.pair(a, a + 1) + self.pair(b, b + 1) + self.pair(c, c + 1);
        gone - self.pair(a, b + 1) - self.pair(c, a + 1) - self.pair(b, c + 1)
    }

    /// Exchanges for as long as that pays, beginning beside these nodes.
    fn settle(&mut self, mut dirty: Vec<usize>) {
        self.mark();
        while let Some(node) = dirty.pop() {
            while let Some((a, b, c)) = self.found(self.place[node]) {
                for at in [a, b, c] {
                    dirty.extend([self.now[at], self.now[at + 1]]);
                }
                self.exchange(a, b, c);
            }
        }
        if self.sum < self.least {
            self.least = self.sum;
            self.best.clone_from(&self.now);
        }
    }

    /// The first exchange that pays and begins with what comes after this place.
    fn found(&self, at: usize) -> Option<(usize, usize, usize)> {
        let nodes = self.now.len();
        if at + 1 >= nodes {
            return None;
        }
        let gone = self.pair(at, at + 1);
        let end = nodes - 1;
        // As the first of the three.
        let mut fence = end;
        for b in at + 1..end {
            fence = fence.min(self.fence[b]);
            if fence <= b + 1 {
                break;
            }
            if self.pair(at, b + 1) < gone {
                for c in b + 1..fence {
                    if self.gain(at, b, c) > 0 {
                        return Some((at, b, c));
                    }
                }
            }
        }
        // As the second.
        if at > 0 {
            for c in at + 1..end.min(self.fence[at]) {
                if self.pair(at, c + 1) < gone {
                    for a in (0..at).rev() {
                        if self.fence[a + 1] <= c {
                            break;
                        }
                        if self.gain(a, at, c) > 0 {
                            return Some((a, at, c));
                        }
                    }
                }
            }
        }
        // As the third.
        if at >= 2 && at < end {
            for a in 0..at - 1 {
                if self.pair(at, a + 1) < gone {
                    for b in a + 1..at {
                        if self.fence[b] <= at {
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

/// Always the cheapest that may come next.
fn greedy<const W: usize>(matrix: &Matrix<W>) -> Vec<usize> {
    let mut order = vec![0];
    let mut done = super::set::Set::<W>::NONE.with(0);
    let mut last = 0;
    while order.len() < matrix.nodes {
        let free = (0..matrix.nodes)
            .filter(|node| !done.contains(*node) && matrix.before[*node].is_within(&done));
        let next = free.min_by_key(|node| matrix.cost(last, *node));
        let Some(next) = next else { break };
        order.push(next);
        done.insert(next);
        last = next;
    }
    order
}

/// The other nodes, those first between which and this one the way is cheap.
fn near<const W: usize>(matrix: &Matrix<W>, node: usize) -> Vec<usize> {
    let cost = |it: usize| matrix.cost(node, it).min(matrix.cost(it, node));
    let mut near: Vec<usize> = (1..matrix.nodes - 1)
        .filter(|it| *it != node && cost(*it) < NEVER)
        .collect();
    near.sort_by_key(|it| cost(*it));
    near.truncate(16);
    near
}
