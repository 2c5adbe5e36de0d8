//! The heuristic itself: sets of routes, cached by open legs and remaining tasks.

use std::cell::RefCell;
use std::collections::hash_map::Entry;

use rustc_hash::FxHashMap;

use crate::bit_set::BitSet;
use crate::cost::{COST_PER_TENTH, Tenths};
use crate::problem::{Action, PartMove, Problem, SearchState, leg_of};
use crate::search::RefinedBound;
use crate::state::PartState;

use super::leg_profile::{LegProfile, leg_profile};
use super::part_work::{PartWork, reopening_work};
use super::requirements::RequirementCache;
use super::route_choices::Completion;
use super::route_set_bound::{RouteSetBound, least_cost, wanted_state};
use super::state_facts::StateFacts;
use super::task_profile::TaskProfile;
use super::tool_runs::ToolRunsBound;

pub struct Heuristic<'a> {
    problem: &'a Problem<'a>,
    part_work: Vec<PartWork>,
    /// The action of each task.
    task_actions: Vec<usize>,
    requirements: RequirementCache,
    named_by_leg: Vec<NamedLegs>,
    named_by_task: Vec<BitSet>,
    tool_runs: ToolRunsBound,
    /// By the open legs and the remaining tasks.
    cache: RefCell<FxHashMap<(BitSet, u64), CachedBound>>,
}

/// Everything that depends only on the open legs and the remaining tasks.
struct CachedBound {
    required_legs: BitSet,
    named_legs: BitSet,
    /// One for each set of routes, the cheapest first; empty where there is no plan.
    route_sets: Vec<RouteSetBound>,
}

/// The legs that a leg names on the way out and on the way back.
struct NamedLegs {
    out: BitSet,
    back: BitSet,
}

impl NamedLegs {
    fn of(profile: Option<&LegProfile>, legs: usize) -> Self {
        match profile {
            Some(profile) => Self {
                out: profile.variants[0].named_out.clone(),
                back: profile.variants[0].named_back.clone(),
            },
            None => Self {
                out: BitSet::empty(legs),
                back: BitSet::empty(legs),
            },
        }
    }
}

/// The most entries of the cache.
const MAX_CACHED: usize = 1 << 16;

impl<'a> Heuristic<'a> {
    #[cold]
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let parts = problem.numbering.len();
        let legs: Vec<Option<LegProfile>> = (0..2 * parts)
            .map(|leg| leg_profile(problem, leg))
            .collect();
        let task_actions = (0..problem.request.tasks.len()).filter_map(|task| {
            let completes = |action: &Action| action.completes == 1 << task;
            problem.actions.iter().position(completes)
        });
        let task_actions: Vec<usize> = task_actions.collect();
        let tasks: Vec<TaskProfile> = task_actions
            .iter()
            .map(|action| TaskProfile::of(problem, &problem.actions[*action]))
            .collect();
        let reopening = (0..parts)
            .map(|part| reopening_work(problem, part))
            .collect();
        Self {
            problem,
            part_work: (0..parts)
                .map(|part| PartWork::new(problem, part))
                .collect(),
            requirements: RequirementCache::new(problem),
            named_by_leg: legs
                .iter()
                .map(|profile| NamedLegs::of(profile.as_ref(), 2 * parts))
                .collect(),
            named_by_task: tasks.iter().map(|task| task.named.clone()).collect(),
            tool_runs: ToolRunsBound::new(&legs, tasks, reopening, problem.request.prices),
            task_actions,
            cache: RefCell::default(),
        }
    }

    /// Legs that are certain to be needed from here, those that are open included.
    pub fn required_legs(&self, state: &SearchState) -> BitSet {
        self.if_cached(state, |cached| cached.required_legs.clone())
            .unwrap_or_else(|| {
                self.requirements
                    .with_open(self.problem, &state.open_legs)
                    .required_legs(state)
            })
    }

    /// Legs that something certain names: a way out, a way back, or a remaining task.
    pub fn named_legs(&self, state: &SearchState, required_legs: &BitSet) -> BitSet {
        self.if_cached(state, |cached| cached.named_legs.clone())
            .unwrap_or_else(|| self.find_named_legs(state, required_legs))
    }

    fn if_cached<T>(&self, state: &SearchState, read: impl FnOnce(&CachedBound) -> T) -> Option<T> {
        let key = (state.open_legs.clone(), state.tasks);
        self.cache.borrow().get(&key).map(read)
    }

    fn find_named_legs(&self, state: &SearchState, required_legs: &BitSet) -> BitSet {
        let open_legs = &state.open_legs;
        let mut named = BitSet::empty(2 * self.part_work.len());
        for leg in open_legs.iter() {
            named.union_with(&self.named_by_leg[leg].back);
        }
        let mut ways_out = required_legs.clone();
        ways_out.subtract(open_legs);
        for leg in ways_out.iter() {
            named.union_with(&self.named_by_leg[leg].out);
        }
        for (task, by_task) in self.named_by_task.iter().enumerate() {
            if state.tasks >> task & 1 == 1 {
                named.union_with(by_task);
            }
        }
        named
    }

    /// Whether this way out is among the required legs.
    pub fn is_certain_to_open(&self, required_legs: &BitSet, moved: PartMove) -> bool {
        required_legs.contains(leg_of(moved.part, moved.to, &self.problem.part_legs))
    }

    /// Whether the part, put back by this move, would have to come out again.
    pub fn is_certain_to_reopen(&self, named_legs: &BitSet, moved: PartMove) -> bool {
        named_legs.contains(leg_of(moved.part, moved.from, &self.problem.part_legs))
    }

    /// The heuristic value in units of search cost; `None` where there is no plan.
    pub fn estimate(&self, state: &SearchState) -> Option<u64> {
        self.with_route_sets(state, |route_sets| {
            least_cost(route_sets, |runs, set| {
                set.reopening + self.tool_runs.least(runs, state.tool, state.face)
            })
        })
    }

    /// No plan from here that begins with this action costs less. Where the action opens a
    /// part that is fitted and would stay so in a set of routes, its work comes on top.
    pub fn edge_bound(&self, state: &SearchState, action: &Action) -> u64 {
        let prices = self.problem.request.prices;
        let change_to = |first: u16, current: u16, price: Tenths| match first {
            SearchState::NONE => (current, 0),
            first if first == current => (current, 0),
            first => (first, u64::from(price)),
        };
        let (tool, tool_change) = change_to(action.tools.first, state.tool, prices.tool_change);
        let (face, face_change) = change_to(action.faces.first, state.face, prices.face_change);
        let opened = action
            .part_move
            .filter(|moved| moved.from == PartState::Fitted)
            .map(|moved| moved.part);
        self.with_route_sets(state, |route_sets| {
            least_cost(route_sets, |runs, set| {
                let is_extra =
                    opened.is_some_and(|part| set.wanted_state(part) == PartState::Fitted);
                let extra_work = if is_extra { u64::from(action.work) } else { 0 };
                let changes = self.tool_runs.least(runs, tool, face);
                // What is opened once more may be this part: the larger of the two counts.
                tool_change + face_change + extra_work.max(set.reopening) + changes
            })
        })
        .unwrap_or(0)
    }

    /// A better value than the known one, by looking at tools and faces together. It goes
    /// no further above the known one than about one change.
    pub fn refine(&self, state: &SearchState, known: u64) -> Option<RefinedBound> {
        if !self.tool_runs.can_refine() {
            return Some(RefinedBound {
                bound: known,
                is_final: true,
            });
        }
        let prices = self.problem.request.prices;
        let one_change = u64::from(prices.tool_change.max(prices.face_change)) * COST_PER_TENTH;
        let mut is_final = true;
        let bound = self.with_route_sets(state, |route_sets| {
            least_cost(route_sets, |runs, set| {
                let spent = set.cost + set.reopening * COST_PER_TENTH;
                let limit = (known + one_change).saturating_sub(spent) / COST_PER_TENTH + 1;
                let refined = self.tool_runs.refine(runs, state.tool, state.face, limit);
                is_final &= refined.is_final;
                set.reopening + refined.least
            })
        })?;
        Some(RefinedBound { bound, is_final })
    }

    /// Calls `read` with the cached sets of routes from this state.
    fn with_route_sets<T>(
        &self,
        state: &SearchState,
        read: impl FnOnce(&mut [RouteSetBound]) -> T,
    ) -> T {
        let key = (state.open_legs.clone(), state.tasks);
        let mut cache = self.cache.borrow_mut();
        if cache.len() >= MAX_CACHED && !cache.contains_key(&key) {
            cache.clear();
        }
        let cached = match cache.entry(key) {
            Entry::Occupied(cached) => cached.into_mut(),
            Entry::Vacant(vacant) => {
                let bound = self.find_bound(state);
                vacant.insert(bound)
            }
        };
        read(&mut cached.route_sets)
    }

    fn find_bound(&self, state: &SearchState) -> CachedBound {
        let requirements = self.requirements.with_open(self.problem, &state.open_legs);
        let required_legs = requirements.required_legs(state);
        let facts = StateFacts {
            required: &required_legs,
            open_legs: &state.open_legs,
            tasks: state.tasks,
        };
        let completions = requirements.choices.completions(&facts);
        let route_sets = completions.iter().filter_map(|completion| {
            let cost = self.work_cost(state, completion)?;
            let facts = StateFacts {
                required: &completion.legs,
                ..facts
            };
            let (runs, with_reopening) = self.tool_runs.remaining(&facts, &completion.in_place);
            Some(RouteSetBound {
                cost,
                legs: completion.legs.clone(),
                runs,
                with_reopening,
            })
        });
        let mut route_sets: Vec<RouteSetBound> = route_sets.collect();
        route_sets.sort_by_key(|set| set.cost);
        CachedBound {
            named_legs: self.find_named_legs(state, &required_legs),
            required_legs,
            route_sets,
        }
    }

    /// Work and disturbed parts of a completion; `None` where some part has no way.
    fn work_cost(&self, state: &SearchState, completion: &Completion) -> Option<u64> {
        let mut legs = completion.legs.clone();
        legs.union_with(&state.open_legs);
        let (mut work, mut disturbed) = (0, 0);
        let mut last = None;
        for part in legs.iter().map(|leg| leg / 2) {
            if last.replace(part) == Some(part) {
                continue;
            }
            let part_work = &self.part_work[part];
            let current = state.part_state(part);
            work += if completion.in_place.contains(2 * part + 1) {
                part_work.left_in_place(current)?
            } else {
                part_work.left(current, wanted_state(&completion.legs, part))?
            };
            disturbed += u64::from(current == PartState::Fitted);
        }
        for (task, action) in self.task_actions.iter().enumerate() {
            if state.tasks >> task & 1 == 1 {
                work += u64::from(self.problem.actions[*action].work);
            }
        }
        Some(work * COST_PER_TENTH + disturbed)
    }
}
