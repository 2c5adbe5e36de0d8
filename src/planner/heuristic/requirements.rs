//! The legs that are certain to be needed from a state, and the routes that are left to
//! choose, by the legs that are open.

use std::cell::RefCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;

use crate::bit_set::BitSet;
use crate::op::{Op, Way};
use crate::problem::{Landmarks, PartLegs, Precondition, Problem, SearchState};
use crate::state::PartState;

use super::leg_profile::{find_action, ways_to_open};
use super::route_choices::RouteChoices;

/// The requirements of every state.
pub struct RequirementCache {
    ways: Vec<Vec<Precondition>>,
    landmarks: Landmarks,
    /// Legs that have a way to open them.
    existing: BitSet,
    usual: Rc<Requirements>,
    /// The requirements where some open legs are cut off from their landmarks.
    with_cut_off: RefCell<FxHashMap<BitSet, Rc<Requirements>>>,
}

/// What is certain to be needed, and what is left to choose.
pub struct Requirements {
    by_task: Vec<BitSet>,
    /// For each part the landmarks of its way back from eased, and from off.
    by_way_back: Vec<[BitSet; 2]>,
    pub choices: RouteChoices,
}

/// The most sets of cut-off legs that are cached.
const MAX_CACHED: usize = 256;

impl RequirementCache {
    #[cold]
    pub fn new(problem: &Problem) -> Self {
        let ways = ways_to_open(problem);
        let landmarks = Landmarks::new(&ways, &problem.part_legs, &BitSet::empty(ways.len()));
        let usual = Rc::new(Requirements::new(problem, &landmarks, &ways));
        let mut existing = BitSet::empty(ways.len());
        let has_ways = ways.iter().enumerate().filter(|(_, ways)| !ways.is_empty());
        has_ways.for_each(|(leg, _)| existing.insert(leg));
        Self {
            ways,
            landmarks,
            existing,
            usual,
            with_cut_off: RefCell::default(),
        }
    }

    /// The requirements where these legs are open.
    pub fn with_open(&self, problem: &Problem, open_legs: &BitSet) -> Rc<Requirements> {
        let mut cut_off = self.landmarks.cut_off(open_legs);
        cut_off.intersect_with(&self.existing);
        if cut_off.is_empty() {
            return Rc::clone(&self.usual);
        }
        let mut cache = self.with_cut_off.borrow_mut();
        if let Some(cached) = cache.get(&cut_off) {
            return Rc::clone(cached);
        }
        if cache.len() >= MAX_CACHED {
            cache.clear();
        }
        let landmarks = Landmarks::new(&self.ways, &problem.part_legs, &cut_off);
        let requirements = Rc::new(Requirements::new(problem, &landmarks, &self.ways));
        cache.insert(cut_off, Rc::clone(&requirements));
        requirements
    }
}

impl Requirements {
    #[cold]
    fn new(problem: &Problem, landmarks: &Landmarks, ways: &[Vec<Precondition>]) -> Self {
        let by_task = (0..problem.request.tasks.len()).map(|task| {
            let mut actions = problem.actions.iter();
            let action = actions.find(|action| action.completes == 1 << task);
            action
                .and_then(|action| landmarks.of(&action.precondition))
                .unwrap_or_else(|| BitSet::empty(ways.len()))
        });
        Self {
            by_task: by_task.collect(),
            by_way_back: (0..problem.numbering.len())
                .map(|part| landmarks_of_way_back(problem, landmarks, part))
                .collect(),
            choices: RouteChoices::new(problem, landmarks, ways),
        }
    }

    /// Legs that are certain to be needed from here, those that are open included.
    pub fn required_legs(&self, state: &SearchState) -> BitSet {
        let mut set = BitSet::empty(2 * self.by_way_back.len());
        for (task, landmarks) in self.by_task.iter().enumerate() {
            if state.tasks >> task & 1 == 1 {
                set.union_with(landmarks);
            }
        }
        for part in state.open_parts() {
            let is_off = state.part_state(part) == PartState::Off;
            set.union_with(&self.by_way_back[part][usize::from(is_off)]);
        }
        set
    }
}

fn landmarks_of_way_back(problem: &Problem, landmarks: &Landmarks, local: usize) -> [BitSet; 2] {
    let part = problem.numbering.part(local);
    let PartLegs {
        eases,
        comes_off_on_bench,
    } = problem.part_legs[local];
    let none = || BitSet::empty(2 * problem.numbering.len());
    let landmarks_of = |ops: &mut dyn Iterator<Item = Op>| {
        let found = ops.filter_map(|op| find_action(problem, op));
        let ways: Vec<Precondition> = found
            .map(|index| problem.actions[index].precondition.clone())
            .collect();
        landmarks.of_any(&ways).unwrap_or_else(none)
    };
    let ways = Way::all_of(problem.request.catalog.part(part));
    let mut from_off = landmarks_of(&mut ways.map(|way| Op::PutBack(part, way)));
    if comes_off_on_bench {
        return [none(), from_off];
    }
    let from_eased = landmarks_of(&mut std::iter::once(Op::Settle(part)));
    if eases {
        from_off.union_with(&from_eased);
    }
    [from_eased, from_off]
}
