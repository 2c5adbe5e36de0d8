//! Ways out as a search problem.

use lidoff_catalog::model::{Catalog, Part, PartIx};

use crate::bit_set::BitSet;
use crate::op::Phase;
use crate::problem::{Action, Landmarks, Precondition, Problem, SearchState, leg_of};
use crate::search::SearchProblem;
use crate::state::{PartState, UnitState};

/// A closed unit but for this part. Which parts are relevant is found from tasks and from
/// parts that are open: here the open part stands for a task, because not every part offers
/// one.
pub fn unit_with_part_off(catalog: &Catalog, part: PartIx) -> UnitState {
    let mut unit = UnitState::closed(catalog);
    unit.parts[part.index()] = PartState::Off;
    unit
}

/// What a way in is measured by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AccessMetric {
    Time,
    Steps,
}

/// The ways in to a part.
pub struct AccessProblem<'a> {
    problem: &'a Problem<'a>,
    initial_state: SearchState,
    part: usize,
    goal: PartState,
    metric: AccessMetric,
    /// Actions that lead out.
    ways_out: Vec<usize>,
    /// The legs that every way in opens.
    landmarks: BitSet,
    /// The least cost of each leg, without the first tool and face changes.
    least_cost: Vec<u64>,
    must_remain: BitSet,
}

impl<'a> AccessProblem<'a> {
    /// `None` where the part neither eases nor comes off.
    pub fn new(part: PartIx, problem: &'a Problem<'a>, metric: AccessMetric) -> Option<Self> {
        let local = problem.numbering.local(part)?;
        let known = problem.request.catalog.part(part);
        let goal = match (&known.take_off, &known.bench_off, &known.ease) {
            (None, None, None) => return None,
            (None, None, Some(_)) => PartState::Eased,
            _ => PartState::Off,
        };
        let mut initial_state = problem.initial_state();
        initial_state.set_part(local, PartState::Fitted);
        // How deep a part lies does not depend on how energy is isolated.
        for at in 0..problem.numbering.len() {
            if request_part(problem, at).is_source() {
                initial_state.set_part(at, PartState::Off);
            }
        }
        let actions = problem.actions.iter().enumerate();
        let ways_out: Vec<usize> = actions
            .filter(|(_, action)| action.op.phase() == Phase::StripDown)
            .map(|(index, _)| index)
            .collect();
        let legs = 2 * problem.numbering.len();
        let mut least_cost = vec![u64::MAX; legs];
        let mut must_remain = BitSet::empty(problem.numbering.len());
        for index in &ways_out {
            let action = &problem.actions[*index];
            action.precondition.collect_must_remain(&mut must_remain);
            if let Some(moved) = action.part_move {
                let leg = leg_of(moved.part, moved.to, &problem.part_legs);
                least_cost[leg] = least_cost[leg].min(own_cost(metric, action));
            }
        }
        Some(Self {
            problem,
            initial_state,
            part: local,
            goal,
            metric,
            landmarks: landmarks(problem, &ways_out, local, goal),
            ways_out,
            least_cost,
            must_remain,
        })
    }

    /// The cost of an action by this metric, and the state after it.
    pub fn apply(&self, action: usize, state: &SearchState) -> (u64, SearchState) {
        let action = &self.problem.actions[action];
        let (cost, next) = action.apply(state, self.problem.request.prices);
        let cost = match self.metric {
            AccessMetric::Time => u64::from(cost.total),
            AccessMetric::Steps => own_cost(self.metric, action),
        };
        (cost, next)
    }

    /// Whether every way in does this, and doing it now costs no more than later.
    fn is_forced(&self, action: &Action, state: &SearchState) -> bool {
        let is_landmark = action.part_move.is_some_and(|moved| {
            let leg = leg_of(moved.part, moved.to, &self.problem.part_legs);
            self.landmarks.contains(leg)
                && own_cost(self.metric, action) == self.least_cost[leg]
                && !self.must_remain.contains(moved.part)
        });
        let is_free = action.needs_no_change(state) && !self.problem.has_waits();
        is_landmark && (self.metric == AccessMetric::Steps || is_free)
    }
}

fn request_part<'a>(problem: &Problem<'a>, local: usize) -> &'a Part {
    problem.request.catalog.part(problem.numbering.part(local))
}

/// The legs that every way to this state of the part opens.
fn landmarks(problem: &Problem, ways_out: &[usize], part: usize, goal: PartState) -> BitSet {
    let legs = 2 * problem.numbering.len();
    let mut ways: Vec<Vec<Precondition>> = vec![Vec::new(); legs];
    for index in ways_out {
        let action = &problem.actions[*index];
        let Some(moved) = action.part_move else {
            continue;
        };
        let mut all = vec![action.precondition.clone()];
        if moved.from != PartState::Fitted {
            all.push(Precondition::AtLeast(moved.part, moved.from));
        }
        let leg = leg_of(moved.part, moved.to, &problem.part_legs);
        ways[leg].push(Precondition::All(all));
    }
    let landmarks = Landmarks::new(&ways, &problem.part_legs, &BitSet::empty(legs));
    landmarks
        .of(&Precondition::AtLeast(part, goal))
        .unwrap_or_else(|| BitSet::empty(legs))
}

/// What an operation adds to a way in wherever it stands.
fn own_cost(metric: AccessMetric, action: &Action) -> u64 {
    match metric {
        AccessMetric::Time => u64::from(action.work),
        AccessMetric::Steps => 1 + u64::from(action.tools.changes),
    }
}

impl SearchProblem for AccessProblem<'_> {
    type State = SearchState;
    type StateKey = BitSet;
    type ActionId = usize;

    fn state_key(&self, state: &SearchState) -> BitSet {
        state.open_legs.clone()
    }

    /// By time: a state dominates another if it is no dearer even after changing to the
    /// other's tool and face, and no running wait ends later.
    fn dominates(
        &self,
        state: &SearchState,
        cost: u64,
        other: &SearchState,
        other_cost: u64,
    ) -> bool {
        if self.metric == AccessMetric::Steps {
            return cost <= other_cost;
        }
        let prices = self.problem.request.prices;
        let tool = u64::from(state.tool != other.tool) * u64::from(prices.tool_change);
        let face = u64::from(state.face != other.face) * u64::from(prices.face_change);
        let cost = cost + tool + face;
        let mut waits = state.waits.iter().zip(&other.waits);
        cost <= other_cost
            && waits.all(|(mine, theirs)| {
                *mine == 0 || cost + u64::from(*mine) <= other_cost + u64::from(*theirs)
            })
    }

    fn initial_state(&self) -> SearchState {
        self.initial_state.clone()
    }

    fn is_goal(&self, state: &SearchState) -> bool {
        state.part_state(self.part) >= self.goal
    }

    fn heuristic(&self, state: &SearchState) -> Option<u64> {
        let left = self.landmarks.iter();
        let left = left.filter(|leg| !state.open_legs.contains(*leg));
        Some(left.map(|leg| self.least_cost[leg]).sum())
    }

    fn successors(&self, state: &SearchState, into: &mut Vec<(usize, SearchState, u64)>) {
        for index in &self.ways_out {
            let action = &self.problem.actions[*index];
            if !action.is_applicable(state) {
                continue;
            }
            let (cost, next) = self.apply(*index, state);
            if self.is_forced(action, state) {
                into.clear();
                into.push((*index, next, cost));
                return;
            }
            into.push((*index, next, cost));
        }
    }
}
