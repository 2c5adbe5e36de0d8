//! The way in to one part, from a closed unit, with nothing put back: the fastest,
//! and the one of the fewest steps.
//!
//! *Disassembly depth* in the sense of EN 45554:2020 (from memory): the number of
//! steps to remove a part, where a step ends with the removal of a part or with a
//! change of tool, or with both at once. Here: a part that is only eased counts as
//! one removed; the first tool of an operation that follows a removal ends no
//! step of its own; a bare-handed step changes no tool.
//!
//! The search is that of the planner (`search.rs`) over ways out alone; it
//! has the same limit.

use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Setup;

use super::bits::Bits;
use super::problem::{Action, Certain, Holds, Node, Problem, leg};
use super::search::{Found, Space, to_the_end};
use super::{Limits, Op, PartState, Phase, Prices, Request, Tenths, UnitState};

/// Ways in to a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Access {
    /// The fastest way, the part's own removal last.
    pub ops: Vec<Op>,
    /// What it takes, tools and turns included.
    pub time: Tenths,
    /// Steps of the way that has the fewest.
    pub depth: u32,
    /// Nothing is faster, and no way has fewer steps; else the search met its
    /// limit, and something might be.
    pub proven: bool,
}

/// The ways in to this part: until it is off by itself or, where it only eases,
/// eased. `None` where there is none, or none was found within the limit.
pub fn access(
    catalog: &Catalog,
    setup: &Setup,
    prices: &Prices,
    part: PartIx,
    limits: Limits,
) -> Option<Access> {
    let from = standing_for_a_task(catalog, part);
    let problem = Problem::new(Request {
        catalog,
        setup,
        tasks: &[],
        from: &from,
        prices,
        blocked: &[],
        limits,
    });
    let by = |measure| WayIn::to(part, &problem, measure);
    let (acts, time, fastest) = found(to_the_end(&by(Measure::Time)?, limits.states))?;
    let (_, depth, least) = found(to_the_end(&by(Measure::Steps)?, limits.states))?;
    Some(Access {
        ops: acts.iter().map(|act| problem.actions[*act].op).collect(),
        time: Tenths::try_from(time).unwrap_or(Tenths::MAX),
        depth: u32::try_from(depth).unwrap_or(u32::MAX),
        proven: fastest && least,
    })
}

/// What matters is found from the parts that are open: this one stands for a task
/// that not every part has.
pub fn standing_for_a_task(catalog: &Catalog, part: PartIx) -> UnitState {
    let mut from = UnitState::closed(catalog);
    from.parts[part.index()] = PartState::Off;
    from
}

fn found(found: Found<usize>) -> Option<(Vec<usize>, u64, bool)> {
    match found {
        Found::Path {
            acts, cost, bound, ..
        } => Some((acts, cost, bound >= cost)),
        Found::Nothing | Found::Limit { .. } => None,
    }
}

/// What a way in is measured by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    Time,
    Steps,
}

/// Ways out as a space to be searched.
pub struct WayIn<'a> {
    problem: &'a Problem<'a>,
    start: Node,
    part: usize,
    wanted: PartState,
    measure: Measure,
    /// Actions that lead out.
    out: Vec<usize>,
    /// The legs that every way goes through, and what each takes at the least,
    /// without tools and turns.
    certain: Bits,
    least: Vec<u64>,
    stayers: Bits,
}

impl<'a> WayIn<'a> {
    /// The ways in to this part; nothing where there are none.
    pub fn to(part: PartIx, problem: &'a Problem<'a>, measure: Measure) -> Option<Self> {
        let local = problem.numbers.local(part)?;
        let known = problem.request.catalog.part(part);
        let wanted = match (&known.take_off, &known.bench_off, &known.ease) {
            (None, None, None) => return None,
            (None, None, Some(_)) => PartState::Eased,
            _ => PartState::Off,
        };
        let mut start = problem.start();
        start.set(local, PartState::Fitted);
        Some(Self::new(problem, start, local, wanted, measure))
    }

    fn new(
        problem: &'a Problem<'a>,
        start: Node,
        part: usize,
        wanted: PartState,
        measure: Measure,
    ) -> Self {
        let actions = || problem.actions.iter().enumerate();
        let out: Vec<usize> = actions()
            .filter(|(_, action)| action.op.phase() == Phase::StripDown)
            .map(|(at, _)| at)
            .collect();
        let legs = 2 * problem.numbers.len();
        let mut ways: Vec<Vec<Holds>> = vec![Vec::new(); legs];
        let mut least = vec![u64::MAX; legs];
        let mut stayers = Bits::none(problem.numbers.len());
        for at in &out {
            let action = &problem.actions[*at];
            action.needs.stayers(&mut stayers);
            let Some(moved) = action.moves else { continue };
            let leg = leg(moved.part, moved.to, &problem.shapes);
            let own = Holds::Own(moved.part, moved.from);
            ways[leg].push(Holds::All(vec![action.needs.clone(), own]));
            least[leg] = least[leg].min(own_cost(measure, action));
        }
        // From fitted there is nothing to ask for.
        for way in ways.iter_mut().flatten() {
            if let Holds::All(all) = way {
                all.retain(|one| !matches!(one, Holds::Own(_, PartState::Fitted)));
            }
        }
        let certain = Certain::new(&ways, &problem.shapes, &Bits::none(legs));
        let certain = certain.of(&Holds::Own(part, wanted));
        let certain = certain.unwrap_or_else(|| Bits::none(legs));
        Self {
            problem,
            start,
            part,
            wanted,
            measure,
            out,
            certain,
            least,
            stayers,
        }
    }

    /// What doing this costs, and the state after.
    pub fn moved(&self, at: usize, node: &Node) -> (u64, Node) {
        let action = &self.problem.actions[at];
        let (taken, next) = action.apply(node, self.problem.request.prices);
        let cost = match self.measure {
            Measure::Time => u64::from(taken.total),
            Measure::Steps => own_cost(self.measure, action),
        };
        (cost, next)
    }

    /// Whether it is walked on every way in, now as well as later.
    fn is_due(&self, action: &Action, node: &Node) -> bool {
        action.moves.is_some_and(|moved| {
            let leg = leg(moved.part, moved.to, &self.problem.shapes);
            self.certain.contains(leg)
                && own_cost(self.measure, action) == self.least[leg]
                && !self.stayers.contains(moved.part)
        }) && (self.measure == Measure::Steps
            || (action.is_free(node) && !self.problem.has_waits()))
    }
}

/// What an operation adds to a way in wherever it stands.
fn own_cost(measure: Measure, action: &Action) -> u64 {
    match measure {
        Measure::Time => u64::from(action.work),
        Measure::Steps => 1 + u64::from(action.tools.changes),
    }
}

impl Space for WayIn<'_> {
    type State = Node;
    type Place = Bits;
    type Act = usize;

    fn place(&self, node: &Node) -> Bits {
        node.parts.clone()
    }

    /// No dearer with a change to what the other has in hand and up, and no wait
    /// that runs ends later, with that change still to be made after it.
    fn covers(&self, node: &Node, cost: u64, other: &Node, others: u64) -> bool {
        if self.measure == Measure::Steps {
            return cost <= others;
        }
        let prices = self.problem.request.prices;
        let tool = u64::from(node.tool != other.tool) * u64::from(prices.tool_change);
        let face = u64::from(node.face != other.face) * u64::from(prices.face_change);
        let cost = cost + tool + face;
        let mut ends = node.waits.iter().zip(&other.waits);
        cost <= others
            && ends
                .all(|(one, two)| *one == 0 || cost + u64::from(*one) <= others + u64::from(*two))
    }

    fn start(&self) -> Node {
        self.start.clone()
    }

    fn is_end(&self, node: &Node) -> bool {
        node.of(self.part) >= self.wanted
    }

    fn bound(&self, node: &Node) -> Option<u64> {
        let left = self.certain.iter().filter(|leg| !node.parts.contains(*leg));
        Some(left.map(|leg| self.least[leg]).sum())
    }

    fn moves(&self, node: &Node, into: &mut Vec<(usize, Node, u64)>) {
        for at in &self.out {
            let action = &self.problem.actions[*at];
            if !action.can(node) {
                continue;
            }
            let (cost, next) = self.moved(*at, node);
            if self.is_due(action, node) {
                into.clear();
                into.push((*at, next, cost));
                return;
            }
            into.push((*at, next, cost));
        }
    }
}
