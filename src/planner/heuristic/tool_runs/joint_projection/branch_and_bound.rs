//! Depth-first branch and bound over the joint projection.

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::bit_set::BitSet;
use crate::problem::ResourceSequence;

use super::super::super::leg_profile::ResourcesUsed;
use super::super::operations::{MAX_OPERATIONS, OperationGraph, OperationSet};
use super::super::projection::Projection;
use super::super::run_count::{NOT_COUNTED, RemainingRuns, RunCount};
use super::joint_state::{CountsAfterChange, JointState, KnownRest, RunCounts};
use super::shared_resources::SharedResources;
use super::variant::{
    Current, OTHER, OperationVariant, ResourceChange, changed_runs, free_variants, is_part_of,
};

/// Some tools, and every face.
pub struct JointProjection {
    resources: SharedResources,
    /// The ways of each operation.
    variants: Vec<SmallVec<[OperationVariant; 2]>>,
    /// The operations that can be free with this in hand and up.
    free_operations: FxHashMap<Current, BitSet>,
    memo: FxHashMap<(Current, OperationSet), KnownRest>,
    /// States that the current question may still look at.
    budget: u32,
    /// Questions that may still go without an answer.
    unanswered_left: u32,
}

/// What a question is asked about.
pub struct JointContext<'a> {
    pub graph: &'a OperationGraph,
    pub projections: &'a mut [Projection],
}

/// The most states that one question may look at.
const MAX_STATES: u32 = 1024;
/// After this many questions without an answer no more are asked.
const MAX_UNANSWERED: u32 = 64;
/// The most entries of the memo.
const MAX_REMEMBERED: usize = 1 << 15;

impl JointProjection {
    /// `None` where no tool is used on more than one face, or where there are so many
    /// operations that this takes longer than it saves. The first `tools` projections are
    /// those of tools.
    #[cold]
    pub fn new(graph: &OperationGraph, tools: usize, prices: [u64; 2]) -> Option<Self> {
        if graph.used.len() > MAX_OPERATIONS {
            return None;
        }
        let resources = SharedResources::new(graph, tools, prices)?;
        let variant = |used: &ResourcesUsed| {
            let shared = |side: usize, sequence: &ResourceSequence| {
                let numbers = sequence.iter();
                numbers
                    .map(|number| resources.current(*number, *number)[side])
                    .collect()
            };
            let sequences = [shared(0, &used.tools), shared(1, &used.faces)];
            OperationVariant::new(sequences, |resource| resources.price(resource))
        };
        let variants = graph.used.iter();
        let variants = variants.map(|ways| ways.iter().map(variant).collect());
        Some(Self {
            variants: variants.collect(),
            resources,
            free_operations: FxHashMap::default(),
            memo: FxHashMap::default(),
            budget: 0,
            unanswered_left: MAX_UNANSWERED,
        })
    }

    /// The tool in hand and the face up, as this projection sees them.
    pub fn current(&self, tool: u16, face: u16) -> Current {
        self.resources.current(tool, face)
    }

    /// Whether the resource of this projection is one of the shared ones.
    pub fn includes(&self, projection: usize) -> bool {
        let mut all = self.resources.all.iter();
        all.any(|resource| resource.projection == projection)
    }

    /// No order of what is left pays less for changes to these tools and faces. Where the
    /// result is below the limit, some order pays that. `None` where too many states would
    /// have to be looked at. `runs` must have been counted in every projection.
    pub fn least(
        &mut self,
        context: &mut JointContext,
        current: Current,
        runs: &RemainingRuns,
        limit: u64,
    ) -> Option<u64> {
        if self.unanswered_left == 0 {
            return None;
        }
        if self.memo.len() > MAX_REMEMBERED {
            self.memo.clear();
        }
        let counts = self.resources.all.iter().enumerate();
        let counts = counts.map(|(index, resource)| {
            let is_current = current.contains(&(index as u8));
            runs.counts[resource.projection][usize::from(is_current)]
        });
        let counts = counts.collect();
        let mut left = runs.operations.clone();
        let (price, started) = self.do_free(context.graph, current, &mut left);
        let mut start = JointState {
            current,
            left,
            counts,
            price,
            total_bound: 0,
            is_exact: false,
        };
        self.set_bound(context, &mut start, started, limit);
        if start.is_exact || start.total_bound >= limit {
            return Some(start.total_bound);
        }
        self.budget = MAX_STATES;
        let least = self.search(context, start, limit - price);
        self.unanswered_left -= u32::from(least.is_none());
        Some(price + least?)
    }

    /// Does what costs no change and leaves what is in hand and up. Returns the price of the
    /// changes within those operations, and the resources of which they start runs.
    fn do_free(
        &mut self,
        graph: &OperationGraph,
        current: Current,
        left: &mut OperationSet,
    ) -> (u64, u64) {
        let variants = &self.variants;
        let free_operations = self.free_operations.entry(current).or_insert_with(|| {
            let mut free = BitSet::empty(variants.len());
            for (operation, variants) in variants.iter().enumerate() {
                if free_variants(variants, current).next().is_some() {
                    free.insert(operation);
                }
            }
            free
        });
        let (mut price, mut started) = (0, 0);
        loop {
            let mut candidates = left.operations.clone();
            candidates.intersect_with(free_operations);
            let mut has_changed = false;
            for operation in candidates.iter() {
                let mut ready = free_variants(&variants[operation], current)
                    .filter(|variant| graph.is_way_ready(operation, *variant, left));
                if let Some(variant) = ready.next()
                    && graph.is_ready(operation, left)
                {
                    let variant = &variants[operation][variant];
                    left.operations.remove(operation);
                    price += variant.price_within;
                    started |= variant.starts_runs_of;
                    has_changed = true;
                }
            }
            if !has_changed {
                return (price, started);
            }
        }
    }

    /// Sets the bound of a state. The counts of the `touched` resources are counted anew.
    fn set_bound(
        &self,
        context: &mut JointContext,
        state: &mut JointState,
        touched: u64,
        limit: u64,
    ) {
        let known = if state.left.operations.is_empty() {
            Some(KnownRest {
                least: 0,
                is_exact: true,
            })
        } else {
            let key = (state.current, state.left.clone());
            self.memo.get(&key).copied()
        };
        if let Some(known) = known
            && (known.is_exact || state.price + known.least >= limit)
        {
            state.total_bound = state.price + known.least;
            state.is_exact = known.is_exact;
            return;
        }
        for index in (0..self.resources.all.len()).filter(|index| touched >> index & 1 == 1) {
            let is_current = state.current.contains(&(index as u8));
            state.counts[index] = self.count(context, index, is_current, &state.left);
        }
        let known = known.map_or(0, |known| known.least);
        state.total_bound = state.price + self.separate_sum(&state.counts).max(known);
    }

    fn count(
        &self,
        context: &mut JointContext,
        resource: usize,
        is_current: bool,
        left: &OperationSet,
    ) -> RunCount {
        let projection = &mut context.projections[self.resources.all[resource].projection];
        if projection.is_used_in(left) {
            projection.least(context.graph, is_current, left)
        } else {
            0
        }
    }

    fn separate_sum(&self, counts: &RunCounts) -> u64 {
        let counts = self.resources.all.iter().zip(counts);
        counts
            .map(|(resource, count)| resource.price * u64::from(*count))
            .sum()
    }

    /// No order pays less from there; where the result is below the limit, some order pays
    /// that. `None` where the budget is spent.
    fn search(&mut self, context: &mut JointContext, state: JointState, limit: u64) -> Option<u64> {
        self.budget = self.budget.checked_sub(1)?;
        let (mut open, mut beyond) = self.branches(context, &state, limit);
        let mut best: Option<u64> = None;
        // There are few: sorting them would be more code than use.
        while let Some((index, _)) = open
            .iter()
            .enumerate()
            .min_by_key(|(_, next)| next.total_bound)
        {
            let next = open.remove(index);
            let limit = best.map_or(limit, |best| best.min(limit));
            let (price, total_bound) = (next.price, next.total_bound);
            let total = if next.is_exact || total_bound >= limit {
                total_bound
            } else {
                price + self.search(context, next, limit - price)?
            };
            let least = if total < limit {
                &mut best
            } else {
                &mut beyond
            };
            *least = Some(least.map_or(total, |least| least.min(total)));
        }
        // Nothing is ready only where the precedence has a cycle: no plan does that.
        let known = KnownRest {
            least: best.or(beyond).unwrap_or(0),
            is_exact: best.is_some() || beyond.is_none(),
        };
        self.memo.insert((state.current, state.left), known);
        Some(known.least)
    }

    /// The states that follow below the limit, and the least bound of those beyond it. Where
    /// a uniform operation begins with a change, nothing else is tried that begins with it:
    /// the uniform operation is done first.
    fn branches(
        &mut self,
        context: &mut JointContext,
        state: &JointState,
        limit: u64,
    ) -> (SmallVec<[JointState; 6]>, Option<u64>) {
        let graph = context.graph;
        let ready = state.left.operations.iter();
        let ready: SmallVec<[usize; 16]> = ready
            .filter(|operation| graph.is_ready(*operation, &state.left))
            .collect();
        let mut uniform_changes: SmallVec<[ResourceChange; 8]> = SmallVec::new();
        let (mut open, mut beyond) = (SmallVec::new(), None);
        let mut after_change = CountsAfterChange {
            counts: RunCounts::from_elem(NOT_COUNTED, self.resources.all.len()),
            least: self.separate_sum(&state.counts),
        };
        for wants_uniform in [true, false] {
            for operation in &ready {
                for index in 0..self.variants[*operation].len() {
                    let variant = self.variants[*operation][index];
                    let change = variant.change_before(state.current);
                    let is_uniform = self.variants[*operation].len() == 1 && variant.is_uniform();
                    if is_uniform != wants_uniform
                        || uniform_changes
                            .iter()
                            .any(|uniform| is_part_of(*uniform, change))
                        || !graph.is_way_ready(*operation, index, &state.left)
                    {
                        continue;
                    }
                    if wants_uniform {
                        uniform_changes.push(change);
                    }
                    let bound = self.bound_after(context, state, change, &mut after_change);
                    if bound >= limit && variant.is_uniform() {
                        beyond = Some(beyond.map_or(bound, |beyond: u64| beyond.min(bound)));
                    } else {
                        let next = (*operation, variant);
                        open.push(self.next(context, state, next, &after_change, limit));
                    }
                }
            }
        }
        (open, beyond)
    }

    /// The sum of the separate counts where this change is made here.
    fn bound_after(
        &self,
        context: &mut JointContext,
        state: &JointState,
        change: ResourceChange,
        after_change: &mut CountsAfterChange,
    ) -> u64 {
        let mut bound = after_change.least;
        for (resource, is_started) in changed_runs(state.current, change) {
            let index = usize::from(resource);
            if after_change.counts[index] == NOT_COUNTED {
                after_change.counts[index] = self.count(context, index, is_started, &state.left);
            }
            let price = self.resources.all[index].price;
            bound += price * (u64::from(is_started) + u64::from(after_change.counts[index]));
            bound -= price * u64::from(state.counts[index]);
        }
        bound
    }

    /// The state after this operation, done in this way.
    fn next(
        &mut self,
        context: &mut JointContext,
        state: &JointState,
        (operation, variant): (usize, OperationVariant),
        after_change: &CountsAfterChange,
        limit: u64,
    ) -> JointState {
        let current = variant.current_after(state.current);
        let change = variant.change_before(state.current);
        let mut left = state.left.clone();
        left.operations.remove(operation);
        let (free_price, started) = self.do_free(context.graph, current, &mut left);
        let change_price: u64 = change
            .iter()
            .flatten()
            .map(|resource| self.resources.price(*resource))
            .sum();
        let mut counts = state.counts.clone();
        for (resource, _) in changed_runs(state.current, change) {
            counts[usize::from(resource)] = after_change.counts[usize::from(resource)];
        }
        let bits = |current: Current| {
            let shared = current.into_iter().filter(|resource| *resource != OTHER);
            shared.fold(0, |bits, resource| bits | 1 << resource)
        };
        // A uniform operation leaves the count of what it began with.
        let touched = started
            | if variant.is_uniform() {
                variant.starts_runs_of
            } else {
                variant.uses | bits(current) | bits(state.current)
            };
        let mut next = JointState {
            current,
            left,
            counts,
            price: change_price + variant.price_within + free_price,
            total_bound: 0,
            is_exact: false,
        };
        self.set_bound(context, &mut next, touched, limit);
        next
    }
}
