//! Counts of runs.

use smallvec::SmallVec;

use super::operations::OperationSet;

/// Runs of one tool or face.
pub type RunCount = u16;

/// Not counted yet.
pub const NOT_COUNTED: RunCount = RunCount::MAX;

/// The operations that are left, with the runs counted so far.
pub struct RemainingRuns {
    pub operations: OperationSet,
    /// For each projection the runs to come: where its resource is not in hand (or up) now,
    /// and where it is.
    pub counts: SmallVec<[[RunCount; 2]; 16]>,
}
