//! What the heuristic looks at in a state.

use crate::bit_set::BitSet;

pub struct StateFacts<'a> {
    /// Legs that are certain to be needed, those that are open included.
    pub required: &'a BitSet,
    pub open_legs: &'a BitSet,
    /// Tasks that are left, one bit each.
    pub tasks: u64,
}

impl StateFacts<'_> {
    pub fn has_task(&self, task: usize) -> bool {
        self.tasks >> task & 1 == 1
    }
}
