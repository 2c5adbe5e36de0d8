//! Who does what when: rounds that each take about twice as much work as the one
//! before, until the bound meets the cost. Work is counted, not timed, so that the
//! same problem goes the same way everywhere.

use super::ascent::{Ascent, Climb};
use super::improve::Improver;
use super::layers::{Search, Visited, bytes_per_state};
use super::matrix::{Matrix, NEVER};
use super::memory::Memory;
use super::relax::{Prices, Table, Ways};

/// What was found out about a problem.
pub(super) struct Outcome {
    /// The cheapest order that was found.
    pub order: Vec<usize>,
    /// What it costs, in units.
    pub least: i64,
    /// No order costs less, in units.
    pub bound: i64,
    /// States that the search looked at.
    pub states: u64,
}

/// Kicks before anything else.
const FIRST_KICKS: usize = 200;
/// Rounds of the first ascent, of a trial, and of the ascent after it.
const ROUNDS: [usize; 3] = [100, 30, 40];
/// From the prices of an assignment steps are shorter: they are good already.
const GENTLE: f64 = 0.3;
/// These are taken where they close so much of what is left, one part in so many.
/// Often they lead a little higher at first and not so far later on: what is
/// remembered is chosen by what relaxed orders get wrong on the way up (measured).
const WORTH_IT: i64 = 8;
/// The parts of a unit that the cost of a whole order has at the most. Twice the
/// prices and as much again stay below [`NEVER`].
const MOST_PARTS: i64 = 1 << 25;
/// To keep something in mind for the first time, it must gain so many times more
/// than to watch more nodes: it is as many times slower to look up.
const DEAR_MIND: f64 = 2.0;

/// States that a search looks at, for each unit of work, and at the least.
const STATES: usize = 3;
const FEWEST_STATES: usize = 150_000;

/// So many tables are kept at a time while it is tried which one is better.
const TABLES: usize = 4;

/// Works until the cheapest order is proven, nothing more can be done within
/// `bytes`, or `going` says no.
pub(super) fn work<const W: usize>(
    matrix: &Matrix<W>,
    bytes: usize,
    going: &mut dyn FnMut() -> bool,
) -> Outcome {
    let mut improver = Improver::new(matrix);
    improver.kick(FIRST_KICKS, going);
    let parts = (MOST_PARTS / improver.least.max(1)).clamp(1, 128) as i32;
    let mut prover = Prover::new(matrix, parts, improver.least, bytes);
    let mut states = 0;
    let mut size = 2 * matrix.nodes * matrix.nodes;
    prover.begin(improver.least, going);
    while prover.bound < improver.least && going() {
        prover.strike(improver.least);
        let visited = prover.search(improver.least, size, going);
        states += visited.states;
        if let Some(order) = visited.order {
            improver.take(&order);
        }
        if prover.bound >= improver.least || !going() {
            break;
        }
        improver.kick(size / 16, going);
        size *= 2;
        if !prover.has_room(size) {
            break;
        }
        size = prover.grow(improver.least, size, going);
    }
    Outcome {
        bound: prover.bound.min(improver.least),
        order: improver.best,
        least: improver.least,
        states,
    }
}

/// What is known of the bound so far.
struct Prover<'a, const W: usize> {
    matrix: &'a Matrix<W>,
    ways: Ways<W>,
    table: Table<W>,
    ascent: Ascent,
    /// No order costs less, or than the best one known; in units.
    bound: i64,
    bytes: usize,
}

impl<'a, const W: usize> Prover<'a, W> {
    fn new(matrix: &'a Matrix<W>, parts: i32, least: i64, bytes: usize) -> Self {
        let ways = Ways::new(matrix, least);
        let table = Table::new(matrix, Memory::none(matrix), &ways);
        Self {
            matrix,
            table,
            ways,
            ascent: Ascent::new(Prices::none(matrix.nodes, parts)),
            bound: 0,
            bytes,
        }
    }

    fn parts(&self) -> i64 {
        i64::from(self.ascent.prices.parts)
    }

    fn raise(&mut self, parts: i64) {
        let units = parts.div_euclid(self.parts()) + i64::from(parts.rem_euclid(self.parts()) > 0);
        self.bound = self.bound.max(units);
    }

    /// The first ascents, remembering nothing: from no prices and, where that leads
    /// much higher, from those of the cheapest assignment.
    fn begin(&mut self, least: i64, going: &mut dyn FnMut() -> bool) {
        let climb = Climb {
            matrix: self.matrix,
            ways: &self.ways,
            target: least,
        };
        if !climb.run(&mut self.ascent, &mut self.table, ROUNDS[0], 1.0, going) {
            return;
        }
        let gap = |it: &Ascent| least * i64::from(it.prices.parts) - it.bound;
        let mut other = self.ascent.clone();
        other.prices = Prices::of_assignment(self.matrix, self.ascent.prices.parts);
        // Where it begins below that it does not get far.
        let at_first = self.table.fill(&self.ways, &other.prices, going)
            && i64::from(self.table.root()) + other.prices.sum() > self.ascent.bound;
        let is_better = at_first
            && climb.run(&mut other, &mut self.table, ROUNDS[0], GENTLE, going)
            && gap(&other) * WORTH_IT < gap(&self.ascent) * (WORTH_IT - 1);
        if is_better {
            self.ascent = other;
        } else {
            // Where this is stopped, the table is not used again.
            self.table.fill(&self.ways, &self.ascent.prices, going);
        }
        self.raise(self.ascent.bound);
    }

    /// What an order may pay that costs less than `least`, the prices taken off.
    fn most(&self, least: i64) -> i32 {
        let most = (least - 1) * self.parts() - self.ascent.prices.sum();
        i32::try_from(most).unwrap_or(NEVER - 1).min(NEVER - 1)
    }

    /// Strikes out what no cheaper order can use.
    fn strike(&mut self, least: i64) {
        let most = self.most(least);
        self.table.strike(&mut self.ways, most);
        self.table.link(self.matrix, &self.ways);
    }

    fn search(&mut self, least: i64, size: usize, going: &mut dyn FnMut() -> bool) -> Visited {
        let nodes = self.matrix.nodes;
        let room = self.bytes / 2 / bytes_per_state::<W>(nodes);
        let states = (STATES * size).max(FEWEST_STATES);
        let search = Search {
            matrix: self.matrix,
            ways: &self.ways,
            table: &self.table,
            prices: &self.ascent.prices,
            most: self.most(least),
            width: (states / nodes).clamp(1, room.max(1)),
        };
        let visited = search.run(going);
        if let Some(bound) = visited.bound {
            self.raise(bound.min(least * self.parts()));
        }
        visited
    }

    /// Whether tables of this much work fit in half of the memory; layers have the
    /// other half.
    fn has_room(&self, size: usize) -> bool {
        size * size_of::<i32>() * TABLES <= self.bytes / 2
    }

    /// Remembers more, so that filling the table takes about as much work as
    /// `size` slots do where nothing is kept in mind. Both ways to remember more
    /// are tried and the better one is taken. Returns the work.
    fn grow(&mut self, least: i64, mut size: usize, going: &mut dyn FnMut() -> bool) -> usize {
        let climb = Climb {
            matrix: self.matrix,
            ways: &self.ways,
            target: least,
        };
        let nodes = self.matrix.nodes;
        // Work for a slot, and for one where whole rows are filled at once.
        let (links, swift) = (self.ways.links() / nodes, nodes / 5);
        let (links, swift) = (links.max(1), swift.max(1));
        let plain = self.table.is_plain();
        let room = self.bytes / 2 / TABLES / size_of::<i32>();
        let slots = match plain && links > swift {
            true => size,
            false => (size * swift / links).min(room),
        };
        let mut best: Option<(Ascent, Table<W>, bool)> = None;
        for in_mind in [false, true] {
            let most = if plain && in_mind { size } else { slots };
            let more = match in_mind {
                false => more_watched(self.matrix, &self.table.memory, &self.ascent, most),
                true => more_in_mind(self.matrix, &self.table.memory, &self.ascent, most),
            };
            let Some(memory) = more else { continue };
            let mut table = Table::new(self.matrix, memory, &self.ways);
            let mut ascent = self.ascent.clone();
            if !climb.run(&mut ascent, &mut table, ROUNDS[1], 0.5, going) {
                continue;
            }
            let dear = if plain && in_mind { DEAR_MIND } else { 1.0 };
            let gain = |it: &Ascent| (it.bound - self.ascent.bound) as f64;
            if best
                .as_ref()
                .is_none_or(|(best, _, _)| gain(&ascent) > dear * gain(best))
            {
                best = Some((ascent, table, in_mind));
            }
        }
        if let Some((ascent, table, in_mind)) = best {
            if in_mind {
                size = size.max(table.memory.size * links / swift);
            }
            (self.ascent, self.table) = (ascent, table);
            let first = self.ascent.bound;
            let whole = climb.run(&mut self.ascent, &mut self.table, ROUNDS[2], 0.3, going);
            self.raise(if whole {
                self.ascent.bound.max(first)
            } else {
                first
            });
        }
        size
    }
}

/// Most nodes that one keeps in mind.
const MOST_IN_MIND: usize = 9;
/// Slots are numbered with sixteen bits.
const LONGEST_ROW: usize = 60_000;

/// Keeps in mind what relaxed orders most often would have had to.
fn more_in_mind<const W: usize>(
    matrix: &Matrix<W>,
    memory: &Memory<W>,
    ascent: &Ascent,
    most: usize,
) -> Option<Memory<W>> {
    let nodes = matrix.nodes;
    let mut minds = memory.mind.clone();
    let weight = |(by, it): &(usize, usize)| ascent.mind[by * nodes + it];
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
        if row + more <= room.min(LONGEST_ROW) && minds[by].len() < MOST_IN_MIND {
            row += more;
            minds[by].push(it);
        }
    }
    if row == memory.row() {
        return None;
    }
    Memory::new(matrix, &memory.watched, &minds, most)
}

/// Watches more nodes, those first that relaxed orders get wrong most often.
fn more_watched<const W: usize>(
    matrix: &Matrix<W>,
    memory: &Memory<W>,
    ascent: &Ascent,
    most: usize,
) -> Option<Memory<W>> {
    let mut watched = memory.watched.clone();
    let mut others: Vec<usize> = (1..matrix.nodes.saturating_sub(1))
        .filter(|node| !watched.contains(node))
        .collect();
    others.sort_by(|one, other| ascent.watch[*other].total_cmp(&ascent.watch[*one]));
    let mut grown = None;
    for node in others {
        watched.push(node);
        match Memory::new(matrix, &watched, &memory.mind, most) {
            Some(memory) => grown = Some(memory),
            None => {
                watched.pop();
            }
        }
    }
    grown
}
