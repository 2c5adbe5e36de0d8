//! Operations that are left.

use crate::bit_set::BitSet;

/// The operations that are left, and the conditions under which conditional precedence
/// binds.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct OperationSet {
    pub operations: BitSet,
    /// One bit each.
    pub conditions: u64,
}

impl OperationSet {
    /// The same operations, and no conditional precedence.
    pub fn without_conditions(&self) -> Self {
        Self {
            operations: self.operations.clone(),
            conditions: 0,
        }
    }

    /// The intersection.
    pub fn restricted_to(&self, others: &Self) -> Self {
        let mut set = self.clone();
        set.operations.intersect_with(&others.operations);
        set.conditions &= others.conditions;
        set
    }
}
