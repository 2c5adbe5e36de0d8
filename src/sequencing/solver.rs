//! Controls the parts of the solver: rounds that each take about twice as much work as the one
//! before, until the bound meets the cost. Work is counted, not timed, so that the same
//! problem takes the same course on every machine.

use super::bound_table::BoundTable;
use super::feasible_arcs::FeasibleArcs;
use super::lagrangian_ascent::{AscentState, SubgradientAscent};
use super::layered_search::{LayeredSearch, SearchSummary, bytes_per_state};
use super::local_search::LocalSearch;
use super::multipliers::Multipliers;
use super::prepared_problem::{INFEASIBLE, PreparedProblem};
use super::relaxation_memory::RelaxationMemory;

/// The result, in units.
pub(super) struct SolverResult {
    /// The cheapest sequence found.
    pub order: Vec<usize>,
    /// Its cost.
    pub least: i64,
    /// No sequence costs less.
    pub bound: i64,
    /// States that were expanded.
    pub states: u64,
}

/// Perturbations before anything else.
const FIRST_PERTURBATIONS: usize = 200;
/// Rounds of the first ascent, of a trial, and of the ascent after it.
const ASCENT_ROUNDS: [usize; 3] = [100, 30, 40];
/// Multipliers of an assignment are good already, so the first steps from them are shorter.
const SHORT_STEP: f64 = 0.3;
/// They are used where they close at least one part in this many of the gap. Often they lead a
/// little higher at first and not so far later on, because what is remembered is chosen by the
/// errors of relaxed sequences on the way up (measured).
const MIN_GAP_CLOSED: i64 = 8;
/// The most that a whole sequence may cost, scaled. Twice the multipliers and as much again
/// stay below [`INFEASIBLE`].
const MAX_SCALED_COST: i64 = 1 << 25;
/// The first time, remembering more at each node must gain this many times more than watching
/// more nodes, because lookups become that many times slower.
const REMEMBERING_PENALTY: f64 = 2.0;

/// States that a search expands for each unit of work, and at least.
const STATES_PER_UNIT: usize = 3;
const MIN_STATES: usize = 150_000;

/// Tables that are kept at a time while it is tried which one is better.
const TABLES_KEPT: usize = 4;

/// Works until the cheapest sequence is proven, nothing more fits into `bytes`, or
/// `keep_going` returns false.
pub(super) fn solve_prepared<const W: usize>(
    problem: &PreparedProblem<W>,
    bytes: usize,
    keep_going: &mut dyn FnMut() -> bool,
) -> SolverResult {
    let mut local_search = LocalSearch::new(problem);
    local_search.perturb(FIRST_PERTURBATIONS, keep_going);
    let scale = (MAX_SCALED_COST / local_search.least.max(1)).clamp(1, 128) as i32;
    let mut prover = BoundProver::new(problem, scale, local_search.least, bytes);
    let mut states = 0;
    let mut size = 2 * problem.nodes * problem.nodes;
    prover.begin(local_search.least, keep_going);
    while prover.bound < local_search.least && keep_going() {
        prover.eliminate(local_search.least);
        let visited = prover.search(local_search.least, size, keep_going);
        states += visited.states;
        if let Some(order) = visited.order {
            local_search.take(&order);
        }
        if prover.bound >= local_search.least || !keep_going() {
            break;
        }
        local_search.perturb(size / 16, keep_going);
        size *= 2;
        if !prover.has_room(size) {
            break;
        }
        size = prover.grow(local_search.least, size, keep_going);
    }
    SolverResult {
        bound: prover.bound.min(local_search.least),
        order: local_search.best,
        least: local_search.least,
        states,
    }
}

/// The lower bound and everything it is computed from.
struct BoundProver<'a, const W: usize> {
    problem: &'a PreparedProblem<W>,
    arcs: FeasibleArcs<W>,
    table: BoundTable<W>,
    ascent: AscentState,
    /// No sequence costs less than this, or than the best one known; in units.
    bound: i64,
    bytes: usize,
}

impl<'a, const W: usize> BoundProver<'a, W> {
    fn new(problem: &'a PreparedProblem<W>, scale: i32, least: i64, bytes: usize) -> Self {
        let arcs = FeasibleArcs::new(problem, least);
        let table = BoundTable::new(problem, RelaxationMemory::none(problem), &arcs);
        Self {
            problem,
            table,
            arcs,
            ascent: AscentState::new(Multipliers::none(problem.nodes, scale)),
            bound: 0,
            bytes,
        }
    }

    fn scale(&self) -> i64 {
        i64::from(self.ascent.multipliers.scale)
    }

    fn raise(&mut self, scale: i64) {
        let units = scale.div_euclid(self.scale()) + i64::from(scale.rem_euclid(self.scale()) > 0);
        self.bound = self.bound.max(units);
    }

    /// The first ascents, without any memory: from multipliers of 0 and, where that closes
    /// much more of the gap, from those of the cheapest assignment.
    fn begin(&mut self, least: i64, keep_going: &mut dyn FnMut() -> bool) {
        let subgradient = SubgradientAscent {
            problem: self.problem,
            arcs: &self.arcs,
            target: least,
        };
        if !subgradient.run(
            &mut self.ascent,
            &mut self.table,
            ASCENT_ROUNDS[0],
            1.0,
            keep_going,
        ) {
            return;
        }
        let gap = |it: &AscentState| least * i64::from(it.multipliers.scale) - it.bound;
        let mut other = self.ascent.clone();
        other.multipliers = Multipliers::of_assignment(self.problem, self.ascent.multipliers.scale);
        // Where it starts lower than the other one ended, it does not get far.
        let at_first = self.table.fill(&self.arcs, &other.multipliers, keep_going)
            && i64::from(self.table.root()) + other.multipliers.sum() > self.ascent.bound;
        let is_better = at_first
            && subgradient.run(
                &mut other,
                &mut self.table,
                ASCENT_ROUNDS[0],
                SHORT_STEP,
                keep_going,
            )
            && gap(&other) * MIN_GAP_CLOSED < gap(&self.ascent) * (MIN_GAP_CLOSED - 1);
        if is_better {
            self.ascent = other;
        } else {
            // Where this is stopped, the table is not used again.
            self.table
                .fill(&self.arcs, &self.ascent.multipliers, keep_going);
        }
        self.raise(self.ascent.bound);
    }

    /// The greatest reduced cost of a sequence that costs less than `least`.
    fn most(&self, least: i64) -> i32 {
        let most = (least - 1) * self.scale() - self.ascent.multipliers.sum();
        i32::try_from(most)
            .unwrap_or(INFEASIBLE - 1)
            .min(INFEASIBLE - 1)
    }

    /// Eliminates what no cheaper sequence can use.
    fn eliminate(&mut self, least: i64) {
        let most = self.most(least);
        self.table.eliminate(&mut self.arcs, most);
        self.table.list_arcs(self.problem, &self.arcs);
    }

    fn search(
        &mut self,
        least: i64,
        size: usize,
        keep_going: &mut dyn FnMut() -> bool,
    ) -> SearchSummary {
        let nodes = self.problem.nodes;
        let room = self.bytes / 2 / bytes_per_state::<W>(nodes);
        let states = (STATES_PER_UNIT * size).max(MIN_STATES);
        let search = LayeredSearch {
            problem: self.problem,
            arcs: &self.arcs,
            table: &self.table,
            multipliers: &self.ascent.multipliers,
            most: self.most(least),
            width: (states / nodes).clamp(1, room.max(1)),
        };
        let visited = search.run(keep_going);
        if let Some(bound) = visited.bound {
            self.raise(bound.min(least * self.scale()));
        }
        visited
    }

    /// Whether tables of this much work fit into half of the memory. The layers have the other
    /// half.
    fn has_room(&self, size: usize) -> bool {
        size * size_of::<i32>() * TABLES_KEPT <= self.bytes / 2
    }

    /// Remembers more, so that filling the table takes about as much work as `size` slots do
    /// where only watched nodes are remembered. Both ways of remembering more are tried, and
    /// the better one is used. Returns the work.
    fn grow(&mut self, least: i64, mut size: usize, keep_going: &mut dyn FnMut() -> bool) -> usize {
        let subgradient = SubgradientAscent {
            problem: self.problem,
            arcs: &self.arcs,
            target: least,
        };
        let nodes = self.problem.nodes;
        // Work for a slot, and for one where whole rows are filled at once.
        let (arcs_per_node, row_work) = (self.arcs.count() / nodes, nodes / 5);
        let (arcs_per_node, row_work) = (arcs_per_node.max(1), row_work.max(1));
        let plain = self.table.is_plain();
        let room = self.bytes / 2 / TABLES_KEPT / size_of::<i32>();
        let slots = match plain && arcs_per_node > row_work {
            true => size,
            false => (size * row_work / arcs_per_node).min(room),
        };
        let mut best: Option<(AscentState, BoundTable<W>, bool)> = None;
        for in_mind in [false, true] {
            let most = if plain && in_mind { size } else { slots };
            let more = match in_mind {
                false => with_more_watched(self.problem, &self.table.memory, &self.ascent, most),
                true => with_more_remembered(self.problem, &self.table.memory, &self.ascent, most),
            };
            let Some(memory) = more else { continue };
            let mut table = BoundTable::new(self.problem, memory, &self.arcs);
            let mut ascent = self.ascent.clone();
            if !subgradient.run(&mut ascent, &mut table, ASCENT_ROUNDS[1], 0.5, keep_going) {
                continue;
            }
            let penalty = if plain && in_mind {
                REMEMBERING_PENALTY
            } else {
                1.0
            };
            let gain = |it: &AscentState| (it.bound - self.ascent.bound) as f64;
            if best
                .as_ref()
                .is_none_or(|(best, _, _)| gain(&ascent) > penalty * gain(best))
            {
                best = Some((ascent, table, in_mind));
            }
        }
        if let Some((ascent, table, in_mind)) = best {
            if in_mind {
                size = size.max(table.memory.size * arcs_per_node / row_work);
            }
            (self.ascent, self.table) = (ascent, table);
            let first = self.ascent.bound;
            let whole = subgradient.run(
                &mut self.ascent,
                &mut self.table,
                ASCENT_ROUNDS[2],
                0.3,
                keep_going,
            );
            self.raise(if whole {
                self.ascent.bound.max(first)
            } else {
                first
            });
        }
        size
    }
}

/// The most nodes that one node remembers.
const MAX_REMEMBERED_PER_NODE: usize = 9;
/// Slots are numbered with sixteen bits.
const MAX_ROW_LENGTH: usize = 60_000;

/// Remembers the visits that would have prevented the most errors of relaxed sequences.
fn with_more_remembered<const W: usize>(
    problem: &PreparedProblem<W>,
    memory: &RelaxationMemory<W>,
    ascent: &AscentState,
    most: usize,
) -> Option<RelaxationMemory<W>> {
    let nodes = problem.nodes;
    let mut minds = memory.remembered.clone();
    let weight = |(by, it): &(usize, usize)| ascent.remembered[by * nodes + it];
    let every = (0..nodes * nodes).map(|at| (at / nodes, at % nodes));
    let mut pairs: Vec<(usize, usize)> = every
        .filter(|pair| weight(pair) > 0.0 && !memory.watched.contains(&pair.1))
        .filter(|(by, it)| !minds[*by].contains(it))
        .collect();
    pairs.sort_by(|one, other| weight(other).total_cmp(&weight(one)));
    let mut row = memory.row();
    let room = most / (memory.size / row).max(1);
    for (by, it) in pairs {
        let more = 1 << minds[by].len();
        if row + more <= room.min(MAX_ROW_LENGTH) && minds[by].len() < MAX_REMEMBERED_PER_NODE {
            row += more;
            minds[by].push(it);
        }
    }
    if row == memory.row() {
        return None;
    }
    RelaxationMemory::new(problem, &memory.watched, &minds, most)
}

/// Watches more nodes, those first that relaxed sequences get wrong most often.
fn with_more_watched<const W: usize>(
    problem: &PreparedProblem<W>,
    memory: &RelaxationMemory<W>,
    ascent: &AscentState,
    most: usize,
) -> Option<RelaxationMemory<W>> {
    let mut watched = memory.watched.clone();
    let mut others: Vec<usize> = (1..problem.nodes.saturating_sub(1))
        .filter(|node| !watched.contains(node))
        .collect();
    others.sort_by(|one, other| ascent.watch[*other].total_cmp(&ascent.watch[*one]));
    let mut grown = None;
    for node in others {
        watched.push(node);
        match RelaxationMemory::new(problem, &watched, &memory.remembered, most) {
            Some(memory) => grown = Some(memory),
            None => {
                watched.pop();
            }
        }
    }
    grown
}
