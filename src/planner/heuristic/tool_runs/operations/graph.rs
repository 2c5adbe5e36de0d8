//! The precedence graph over operations.

use smallvec::SmallVec;

use crate::bit_set::BitSet;
use crate::problem::ResourceSequence;

use super::super::super::leg_profile::{ResourcesUsed, RouteChoice};
use super::operation_set::OperationSet;

/// Every operation that may be left: the way out and the way back of each leg, once more
/// for each rider in place, and the tasks.
pub struct OperationGraph {
    /// The ways of each operation.
    pub used: Vec<Vec<ResourcesUsed>>,
    /// What comes before each operation, if it is left.
    pub(super) before: Vec<BitSet>,
    /// What comes before each way of the operations that have several.
    pub(super) before_way: Vec<SmallVec<[BitSet; 2]>>,
    /// The transitive closure of `before` under any conditions; empty where there are more
    /// operations than [`MAX_OPERATIONS`].
    pub(super) ever_before: Vec<BitSet>,
    /// What comes before each operation only under a condition: the condition, and what.
    /// A condition that binds in a state binds from then on, whatever is done. Otherwise
    /// doing something early could block something else, and what is free could not be done
    /// at once.
    pub(super) conditional_before: Vec<Vec<(usize, BitSet)>>,
    pub(super) remain_conditions: Vec<RemainCondition>,
    pub(super) route_conditions: Vec<RouteCondition>,
    pub(super) outs: Vec<LegOperations>,
    pub(super) backs: Vec<LegOperations>,
    pub(super) tasks: Vec<usize>,
    /// For each part the least work of opening it once more and closing it again.
    pub(super) reopening: Vec<u64>,
}

/// The operations of a leg in one direction: any way, and in place.
pub type LegOperations = Option<[usize; 2]>;

/// A part that must remain in place for an operation comes back before it.
pub(super) struct RemainCondition {
    /// It binds where none of these operations is left,
    pub unless_left: BitSet,
    /// or where one of these is.
    pub or_if_left: BitSet,
    /// The least work of opening such a leg once more and closing it again: then what comes
    /// before is back only for a while.
    pub reopening: u64,
    pub condition: usize,
}

/// A choice of routes, and the operations that ask for it. Where only one route is among the
/// legs of a set of routes, those operations come after the ways out of its legs and before
/// their ways back.
pub(super) struct RouteCondition {
    pub routes: RouteChoice,
    pub asked_by: BitSet,
    /// The condition of the first route. Those of the others follow.
    pub first_condition: usize,
}

/// Where there are more operations than this, exact counting takes longer than it saves.
pub const MAX_OPERATIONS: usize = 256;

impl OperationGraph {
    pub fn no_operations(&self) -> OperationSet {
        OperationSet {
            operations: BitSet::empty(self.used.len()),
            conditions: 0,
        }
    }

    /// The operations that can make a difference to the runs of a resource that `users` use:
    /// the users themselves, and what comes after one of them and before another. Everything
    /// else can be done before the first or after the last of them. Only where the resource
    /// is current, what comes before the first of them counts too: the resource is laid aside
    /// for that as well.
    pub fn relevant_to(&self, users: &BitSet, is_current: bool) -> OperationSet {
        let mut operations = BitSet::empty(self.used.len());
        for user in users.iter() {
            operations.union_with(&self.ever_before[user]);
        }
        if !is_current {
            for operation in 0..self.used.len() {
                if !self.ever_before[operation].intersects(users) {
                    operations.remove(operation);
                }
            }
        }
        operations.union_with(users);
        let conditional = operations
            .iter()
            .flat_map(|operation| &self.conditional_before[operation]);
        let conditions =
            conditional.fold(0, |conditions, (condition, _)| conditions | 1 << condition);
        OperationSet {
            operations,
            conditions,
        }
    }

    /// How many resources of this sort there are.
    pub fn resource_count(&self, pick: fn(&ResourcesUsed) -> &ResourceSequence) -> usize {
        let highest = self.used.iter().flatten().flat_map(pick).max();
        highest.map_or(0, |highest| usize::from(*highest) + 1)
    }

    /// Whether nothing that is left comes before this way of the operation.
    pub fn is_way_ready(&self, operation: usize, way: usize, left: &OperationSet) -> bool {
        let before = self.before_way[operation].get(way);
        before.is_none_or(|before| !before.intersects(&left.operations))
    }

    /// Whether nothing that is left comes before this operation.
    pub fn is_ready(&self, operation: usize, left: &OperationSet) -> bool {
        let binds = |condition: &usize| left.conditions >> condition & 1 == 1;
        !self.before[operation].intersects(&left.operations)
            && self.conditional_before[operation]
                .iter()
                .all(|(condition, before)| {
                    !binds(condition) || !before.intersects(&left.operations)
                })
    }
}
