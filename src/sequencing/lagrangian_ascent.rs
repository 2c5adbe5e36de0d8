//! Lagrangian ascent: better multipliers, step by step.

use super::bound_table::BoundTable;
use super::feasible_arcs::FeasibleArcs;
use super::multipliers::{Multipliers, max_multiplier};
use super::prepared_problem::PreparedProblem;

/// The best multipliers found, and what the ascent learned about the relaxation.
#[derive(Clone)]
pub(super) struct AscentState {
    pub multipliers: Multipliers,
    /// The scaled bound at these multipliers.
    pub bound: i64,
    /// How much it would help to watch each node.
    pub watch: Vec<f64>,
    /// How much it would help if the first node remembered the second one, row by row.
    pub remembered: Vec<f64>,
}

impl AscentState {
    pub fn new(multipliers: Multipliers) -> Self {
        let nodes = multipliers.values.len();
        Self {
            multipliers,
            bound: i64::MIN / 4,
            watch: vec![0.0; nodes],
            remembered: vec![0.0; nodes * nodes],
        }
    }

    /// Where a relaxed sequence visits a node twice, or visits a node after one that must
    /// follow it, remembering the earlier visit would have prevented that.
    fn learn<const W: usize>(&mut self, problem: &PreparedProblem<W>, path: &[usize]) {
        for (at, node) in path.iter().enumerate() {
            let wrong = |it: &usize| it == node || problem.after[*node].contains(*it);
            let Some(first) = path[..at].iter().rposition(wrong) else {
                continue;
            };
            let forgotten = path[first];
            self.watch[*node] += 1.0;
            self.watch[forgotten] += 1.0;
            let between = &path[first + 1..at];
            let step_size = 1.0 / between.len().max(1) as f64;
            for by in between {
                self.remembered[by * problem.nodes + forgotten] += step_size;
            }
        }
    }
}

/// After this many rounds without much gain the steps become shorter.
const MAX_IDLE_ROUNDS: usize = 8;
/// With steps shorter than this the ascent ends.
const MIN_STEP: f64 = 0.01;

pub(super) struct SubgradientAscent<'a, const W: usize> {
    pub problem: &'a PreparedProblem<W>,
    pub arcs: &'a FeasibleArcs<W>,
    /// The cost of a known sequence, in units. The ascent ends at a bound above one less.
    pub target: i64,
}

impl<const W: usize> SubgradientAscent<'_, W> {
    /// Raises the multipliers of nodes that the cheapest relaxed sequence leaves out and
    /// lowers those of nodes that it visits more than once, for this many rounds (subgradient
    /// steps after M. Held, P. Wolfe, H. P. Crowder, "Validation of subgradient optimization",
    /// *Mathematical Programming* 6 (1974); from memory). Leaves the table filled for the best
    /// multipliers. Returns false where it was stopped before that: then the table must not be
    /// used.
    pub fn run(
        &self,
        ascent: &mut AscentState,
        table: &mut BoundTable<W>,
        rounds: usize,
        mut step_size: f64,
        keep_going: &mut dyn FnMut() -> bool,
    ) -> bool {
        let nodes = self.problem.nodes;
        let scale = i64::from(ascent.multipliers.scale);
        let max_multiplier = max_multiplier(nodes);
        let mut current = ascent.multipliers.clone();
        let mut idle_rounds = 0;
        let mut direction = vec![0.0f64; nodes];
        for weight in ascent.watch.iter_mut().chain(&mut ascent.remembered) {
            *weight *= 0.5;
        }
        ascent.bound = i64::MIN / 4;
        let mut filled = false;
        for _ in 0..rounds {
            if !table.fill(self.arcs, &current, keep_going) {
                return false;
            }
            let value = i64::from(table.root()) + current.sum();
            let gain = value - ascent.bound;
            filled = gain > 0;
            if filled {
                ascent.bound = value;
                ascent.multipliers = current.clone();
            }
            if ascent.bound > (self.target - 1) * scale || !keep_going() {
                break;
            }
            let significant_gain = (self.target * scale - value).abs() / 200;
            idle_rounds = if gain > significant_gain {
                0
            } else {
                idle_rounds + 1
            };
            if idle_rounds >= MAX_IDLE_ROUNDS {
                step_size *= 0.7;
                idle_rounds = 0;
                if step_size < MIN_STEP {
                    break;
                }
            }
            let path = table.path(self.arcs);
            ascent.learn(self.problem, &path);
            let mut visits = vec![0i32; nodes];
            for node in &path {
                visits[*node] += 1;
            }
            for (direction_of_node, visits) in direction.iter_mut().zip(&visits) {
                *direction_of_node = 0.6 * *direction_of_node + f64::from(1 - visits);
            }
            let norm: f64 = direction
                .iter()
                .map(|component| component * component)
                .sum();
            if norm < 1e-9 {
                break;
            }
            let step = step_size * ((self.target * scale - value) as f64 * 1.05) / norm;
            for (multiplier, direction_of_node) in current.values.iter_mut().zip(&direction) {
                let raised = f64::from(*multiplier) + (step * direction_of_node).round();
                *multiplier =
                    raised.clamp(-f64::from(max_multiplier), f64::from(max_multiplier)) as i32;
            }
        }
        filled || table.fill(self.arcs, &ascent.multipliers, keep_going)
    }
}
