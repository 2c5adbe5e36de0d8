//! The operations projected onto one tool, or one face.

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::bit_set::BitSet;
use crate::problem::ResourceSequence;

use super::super::leg_profile::ResourcesUsed;
use super::operations::{MAX_OPERATIONS, OperationGraph, OperationSet};
use super::run_count::RunCount;

pub struct Projection {
    /// Operations that begin and end without the resource, or use none; and those that
    /// begin and end with it.
    uniform: [UniformOperations; 2],
    /// Operations that begin with it and end without it, or the other way round.
    crossing: Vec<CrossingOperation>,
    /// Operations that use it.
    users: BitSet,
    /// What can matter to it, where it is not current, and where it is.
    relevant: [OperationSet; 2],
    /// Answered questions: whether it is current, and the relevant operations that are left.
    answers: FxHashMap<(bool, OperationSet), RunCount>,
    /// Least runs from states of the search in which nothing uniform is ready.
    memo: FxHashMap<(bool, OperationSet), RunCount>,
    /// States that the current question may still look at.
    budget: u32,
}

/// Operations with the runs that each starts within itself: a run that it begins with is
/// not counted.
struct UniformOperations {
    operations: BitSet,
    runs_within: Vec<RunCount>,
}

impl UniformOperations {
    fn add(&mut self, operation: usize, runs_within: RunCount) {
        self.operations.insert(operation);
        self.runs_within[operation] = runs_within;
    }
}

#[derive(Clone, Copy)]
struct CrossingOperation {
    operation: usize,
    begins_with_it: bool,
    /// As in [`UniformOperations`].
    runs_within: RunCount,
}

/// One way of an operation, projected.
struct ProjectedWay {
    /// Whether the first resource that it uses is this one, and the last; `None` where it
    /// uses none.
    begins_with_it: Option<bool>,
    ends_with_it: Option<bool>,
    uses_it: bool,
    /// As in [`UniformOperations`].
    runs_within: RunCount,
}

impl ProjectedWay {
    fn new(sequence: &ResourceSequence, resource: usize) -> Self {
        let is_it = |used: &u16| usize::from(*used) == resource;
        let uses = sequence.iter().filter(|used| is_it(used)).count() as RunCount;
        let begins_with_it = sequence.first().map(is_it);
        Self {
            begins_with_it,
            ends_with_it: sequence.last().map(is_it),
            uses_it: uses > 0,
            runs_within: uses - RunCount::from(begins_with_it == Some(true)),
        }
    }
}

/// The most states that one question may look at. Beyond it a smaller count is answered.
const MAX_STATES: u32 = 256;
/// The most entries of each memory.
const MAX_REMEMBERED: usize = 1 << 15;

impl Projection {
    #[cold]
    pub fn new(
        graph: &OperationGraph,
        resource: usize,
        pick: fn(&ResourcesUsed) -> &ResourceSequence,
    ) -> Self {
        let operations = graph.used.len();
        let mut projection = Self {
            uniform: [(); 2].map(|()| UniformOperations {
                operations: BitSet::empty(operations),
                runs_within: vec![0; operations],
            }),
            crossing: Vec::new(),
            users: BitSet::empty(operations),
            relevant: [(); 2].map(|()| graph.no_operations()),
            answers: FxHashMap::default(),
            memo: FxHashMap::default(),
            budget: 0,
        };
        for (operation, ways) in graph.used.iter().enumerate() {
            let mut projected: SmallVec<[ProjectedWay; 2]> = SmallVec::new();
            projected.extend(
                ways.iter()
                    .map(|used| ProjectedWay::new(pick(used), resource)),
            );
            projection.add(operation, &projected);
        }
        if operations <= MAX_OPERATIONS {
            projection.relevant =
                [false, true].map(|is_current| graph.relevant_to(&projection.users, is_current));
        }
        projection
    }

    fn add(&mut self, operation: usize, ways: &[ProjectedWay]) {
        if ways.iter().any(|way| way.uses_it) {
            self.users.insert(operation);
        }
        let Some(first) = ways.first() else { return };
        let ends = |way: &ProjectedWay| (way.begins_with_it, way.ends_with_it);
        let are_alike = ways.iter().all(|way| ends(way) == ends(first));
        let runs_within = ways.iter().map(|way| way.runs_within).min().unwrap_or(0);
        match ends(first) {
            (Some(begins), Some(ends)) if are_alike && begins == ends => {
                self.uniform[usize::from(begins)].add(operation, runs_within);
            }
            (Some(begins_with_it), Some(_)) if are_alike => self.crossing.push(CrossingOperation {
                operation,
                begins_with_it,
                runs_within,
            }),
            // Different ways are not told apart: the operation counts as uniform both with
            // the resource current and without. A way that ends with it gains the run that
            // it started for that.
            _ => {
                let least = |way: &ProjectedWay| {
                    let gains = way.begins_with_it == Some(false) && way.ends_with_it == Some(true);
                    way.runs_within - RunCount::from(gains)
                };
                let least = ways.iter().map(least).min().unwrap_or(0);
                for uniform in &mut self.uniform {
                    uniform.add(operation, least);
                }
            }
        }
    }

    /// Whether anything that is left uses the resource.
    pub fn is_used_in(&self, left: &OperationSet) -> bool {
        self.users.intersects(&left.operations)
    }

    /// No order of what is left starts fewer runs.
    pub fn least(
        &mut self,
        graph: &OperationGraph,
        is_current: bool,
        left: &OperationSet,
    ) -> RunCount {
        if let (false, Some(runs_within)) = (is_current, self.runs_of_only_user(left)) {
            return 1 + runs_within;
        }
        if graph.used.len() > MAX_OPERATIONS {
            return self.relaxed(graph, is_current, left.clone());
        }
        let key = (
            is_current,
            left.restricted_to(&self.relevant[usize::from(is_current)]),
        );
        if let Some(known) = self.answers.get(&key) {
            return *known;
        }
        for memory in [&mut self.answers, &mut self.memo] {
            if memory.len() > MAX_REMEMBERED {
                memory.clear();
            }
        }
        self.budget = MAX_STATES;
        let least = self.search(graph, is_current, key.1.clone());
        let least = least.unwrap_or_else(|| self.relaxed(graph, is_current, key.1.clone()));
        self.answers.insert(key, least);
        least
    }

    /// Where only one operation that is left uses the resource, and it begins and ends with
    /// it: the runs that it starts within itself.
    fn runs_of_only_user(&self, left: &OperationSet) -> Option<RunCount> {
        let mut users = self.users.clone();
        users.intersect_with(&left.operations);
        let mut users = users.iter();
        let (only, second) = (users.next()?, users.next());
        let [without, with] = &self.uniform;
        let is_simple = second.is_none()
            && with.operations.contains(only)
            && !without.operations.contains(only);
        is_simple.then(|| with.runs_within[only])
    }

    /// Does what neither starts nor ends a run. Returns the runs that it started within.
    fn do_uniform(
        &self,
        graph: &OperationGraph,
        is_current: bool,
        left: &mut OperationSet,
    ) -> RunCount {
        let uniform = &self.uniform[usize::from(is_current)];
        let mut runs = 0;
        loop {
            let mut candidates = left.operations.clone();
            candidates.intersect_with(&uniform.operations);
            let mut has_changed = false;
            for operation in candidates.iter() {
                if graph.is_ready(operation, left) {
                    left.operations.remove(operation);
                    runs += uniform.runs_within[operation];
                    has_changed = true;
                }
            }
            if !has_changed {
                return runs;
            }
        }
    }

    fn is_uniform_ready(
        &self,
        graph: &OperationGraph,
        is_current: bool,
        left: &OperationSet,
    ) -> bool {
        let mut candidates = left.operations.clone();
        candidates.intersect_with(&self.uniform[usize::from(is_current)].operations);
        candidates
            .iter()
            .any(|operation| graph.is_ready(operation, left))
    }

    /// The least number of runs; `None` where the budget is spent.
    fn search(
        &mut self,
        graph: &OperationGraph,
        is_current: bool,
        mut left: OperationSet,
    ) -> Option<RunCount> {
        let runs = self.do_uniform(graph, is_current, &mut left);
        if !self.users.intersects(&left.operations) {
            return Some(runs);
        }
        let key = (is_current, left);
        if let Some(known) = self.memo.get(&key) {
            return Some(runs + known);
        }
        self.budget = self.budget.checked_sub(1)?;
        let left = &key.1;
        let mut best: Option<RunCount> = None;
        let mut consider =
            |count: RunCount| best = Some(best.map_or(count, |best| best.min(count)));
        // Ending a run is free; starting one counts.
        let other = !is_current;
        let is_other_ready = self.is_uniform_ready(graph, other, left);
        if is_other_ready {
            let rest = self.search(graph, other, left.clone())?;
            consider(RunCount::from(other) + rest);
        }
        for index in 0..self.crossing.len() {
            let CrossingOperation {
                operation,
                begins_with_it,
                runs_within,
            } = self.crossing[index];
            // Where something uniform begins with the same change, that is done first.
            let changes = begins_with_it != is_current;
            if changes && is_other_ready
                || !left.operations.contains(operation)
                || !graph.is_ready(operation, left)
            {
                continue;
            }
            let mut rest = left.clone();
            rest.operations.remove(operation);
            let rest = self.search(graph, !begins_with_it, rest)?;
            consider(RunCount::from(changes && begins_with_it) + runs_within + rest);
        }
        // Nothing is ready only where the precedence has a cycle: no plan does that.
        let best = best.unwrap_or(0);
        self.memo.insert(key, best);
        Some(runs + best)
    }

    /// At most the least number, quickly: an operation that begins with the resource and
    /// ends without it counts as if it did not end the run, and one the other way round as if
    /// the run that it starts were ended for nothing.
    fn relaxed(
        &self,
        graph: &OperationGraph,
        mut is_current: bool,
        mut left: OperationSet,
    ) -> RunCount {
        let mut total = 0;
        let mut rounds_without_progress = 0;
        while self.users.intersects(&left.operations) && rounds_without_progress < 2 {
            let before_round = left.operations.clone();
            loop {
                let before = left.operations.clone();
                total += self.do_uniform(graph, is_current, &mut left);
                for crossing in &self.crossing {
                    if crossing.begins_with_it == is_current
                        && left.operations.contains(crossing.operation)
                        && graph.is_ready(crossing.operation, &left)
                    {
                        left.operations.remove(crossing.operation);
                        total += crossing.runs_within - RunCount::from(!crossing.begins_with_it);
                    }
                }
                if left.operations == before {
                    break;
                }
            }
            if left.operations == before_round {
                rounds_without_progress += 1;
            } else {
                rounds_without_progress = 0;
            }
            if self.users.intersects(&left.operations) {
                is_current = !is_current;
                total += RunCount::from(is_current && self.can_start_run(graph, &left));
            }
        }
        total
    }

    /// Whether something that begins with the resource is ready.
    fn can_start_run(&self, graph: &OperationGraph, left: &OperationSet) -> bool {
        let mut crossing = self.crossing.iter().filter(|one| one.begins_with_it);
        self.is_uniform_ready(graph, true, left)
            || crossing.any(|one| {
                left.operations.contains(one.operation) && graph.is_ready(one.operation, left)
            })
    }
}
