//! Better prices, step by step.

use super::matrix::Matrix;
use super::relax::{Prices, Table, Ways, dearest};

/// What ascents have learnt.
#[derive(Clone)]
pub(super) struct Ascent {
    /// The best prices.
    pub prices: Prices,
    /// The bound at these, in parts of a unit.
    pub bound: i64,
    /// How much it would help to watch each node.
    pub watch: Vec<f64>,
    /// How much it would help if the first node kept the second one in mind, row
    /// by row.
    pub mind: Vec<f64>,
}

impl Ascent {
    /// Nothing as yet.
    pub fn new(prices: Prices) -> Self {
        let nodes = prices.prices.len();
        Self {
            prices,
            bound: i64::MIN / 4,
            watch: vec![0.0; nodes],
            mind: vec![0.0; nodes * nodes],
        }
    }

    /// Where a node stands that was visited before, or another one that must come
    /// after it had been: that would have had to be remembered.
    fn learn<const W: usize>(&mut self, matrix: &Matrix<W>, path: &[usize]) {
        for (at, node) in path.iter().enumerate() {
            let wrong = |it: &usize| it == node || matrix.after[*node].contains(*it);
            let Some(first) = path[..at].iter().rposition(wrong) else {
                continue;
            };
            let forgotten = path[first];
            self.watch[*node] += 1.0;
            self.watch[forgotten] += 1.0;
            let between = &path[first + 1..at];
            let share = 1.0 / between.len().max(1) as f64;
            for by in between {
                self.mind[by * matrix.nodes + forgotten] += share;
            }
        }
    }
}

/// So many rounds without much gain, and the steps become shorter.
const PATIENCE: usize = 8;
/// Steps shorter than this do nothing more.
const SHORTEST: f64 = 0.01;

/// What an ascent works on.
pub(super) struct Climb<'a, const W: usize> {
    pub matrix: &'a Matrix<W>,
    pub ways: &'a Ways<W>,
    /// The cost of an order, in units: at a bound above one less it ends.
    pub target: i64,
}

impl<const W: usize> Climb<'_, W> {
    /// Raises the prices of nodes that the cheapest relaxed order leaves out and
    /// lowers those of nodes that it visits more than once, so many times
    /// (subgradient steps after M. Held, P. Wolfe, H. P. Crowder, "Validation of
    /// subgradient optimization", Mathematical Programming 6 (1974); from memory).
    /// Leaves the table filled at the best prices; `false` where it was stopped
    /// before that, and the table must not be used.
    pub fn run(
        &self,
        ascent: &mut Ascent,
        table: &mut Table<W>,
        rounds: usize,
        mut share: f64,
        going: &mut dyn FnMut() -> bool,
    ) -> bool {
        let nodes = self.matrix.nodes;
        let parts = i64::from(ascent.prices.parts);
        let dearest = dearest(nodes);
        let mut now = ascent.prices.clone();
        let mut idle = 0;
        let mut direction = vec![0.0f64; nodes];
        for weight in ascent.watch.iter_mut().chain(&mut ascent.mind) {
            *weight *= 0.5;
        }
        ascent.bound = i64::MIN / 4;
        let mut filled = false;
        for _ in 0..rounds {
            if !table.fill(self.ways, &now, going) {
                return false;
            }
            let value = i64::from(table.root()) + now.sum();
            let gain = value - ascent.bound;
            filled = gain > 0;
            if filled {
                ascent.bound = value;
                ascent.prices = now.clone();
            }
            if ascent.bound > (self.target - 1) * parts || !going() {
                break;
            }
            let much = (self.target * parts - value).abs() / 200;
            idle = if gain > much { 0 } else { idle + 1 };
            if idle >= PATIENCE {
                share *= 0.7;
                idle = 0;
                if share < SHORTEST {
                    break;
                }
            }
            let path = table.path(self.ways);
            ascent.learn(self.matrix, &path);
            let mut visits = vec![0i32; nodes];
            for node in &path {
                visits[*node] += 1;
            }
            for (toward, visits) in direction.iter_mut().zip(&visits) {
                *toward = 0.6 * *toward + f64::from(1 - visits);
            }
            let norm: f64 = direction.iter().map(|it| it * it).sum();
            if norm < 1e-9 {
                break;
            }
            let step = share * ((self.target * parts - value) as f64 * 1.05) / norm;
            for (price, toward) in now.prices.iter_mut().zip(&direction) {
                let raised = f64::from(*price) + (step * toward).round();
                *price = raised.clamp(-f64::from(dearest), f64::from(dearest)) as i32;
            }
        }
        filled || table.fill(self.ways, &ascent.prices, going)
    }
}
