//! States of the branch and bound, and what is known of them.

use smallvec::SmallVec;

use super::super::operations::OperationSet;
use super::super::run_count::RunCount;
use super::variant::Current;

/// For each shared resource the runs still to be started, by itself.
pub(super) type RunCounts = SmallVec<[RunCount; 10]>;

/// A state, as it is reached from another.
pub(super) struct JointState {
    pub current: Current,
    pub left: OperationSet,
    pub counts: RunCounts,
    /// The price of reaching it.
    pub price: u64,
    /// The price of reaching it plus a lower bound on the rest.
    pub total_bound: u64,
    /// The bound is the true cost.
    pub is_exact: bool,
}

/// What is remembered of a state.
#[derive(Clone, Copy)]
pub(super) struct KnownRest {
    /// No order costs less from here.
    pub least: u64,
    /// Some order costs that.
    pub is_exact: bool,
}

/// The runs to be started from a state after a change there, as far as they were counted.
pub(super) struct CountsAfterChange {
    pub counts: RunCounts,
    /// The sum of the separate counts without any change.
    pub least: u64,
}
