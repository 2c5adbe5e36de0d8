//! What the pruning rules know of one state.

use std::cell::OnceCell;

use crate::bit_set::BitSet;
use crate::heuristic::Heuristic;
use crate::problem::{PartMove, SearchState};
use crate::state::PartState;

use super::pruning_tables::PruningTables;

pub(super) struct MoveContext<'a> {
    tables: &'a PruningTables,
    heuristic: &'a Heuristic<'a>,
    pub state: &'a SearchState,
    /// Parts that some route to a remaining task needs open, or the way back of an open part.
    needed_parts: BitSet,
    /// Asked for last, because they take longest: see [`Heuristic::required_legs`] and
    /// [`Heuristic::named_legs`].
    required_legs: OnceCell<BitSet>,
    named_legs: OnceCell<BitSet>,
}

impl<'a> MoveContext<'a> {
    pub fn new(
        tables: &'a PruningTables,
        heuristic: &'a Heuristic<'a>,
        state: &'a SearchState,
    ) -> Self {
        let mut needed_parts = BitSet::empty(tables.needed_by_part.len());
        for (task, needed) in tables.needed_by_task.iter().enumerate() {
            if state.tasks >> task & 1 == 1 {
                needed_parts.union_with(needed);
            }
        }
        for part in state.open_parts() {
            needed_parts.union_with(&tables.needed_by_part[part]);
        }
        Self {
            tables,
            heuristic,
            state,
            needed_parts,
            required_legs: OnceCell::new(),
            named_legs: OnceCell::new(),
        }
    }

    fn required_legs(&self) -> &BitSet {
        let required = || self.heuristic.required_legs(self.state);
        self.required_legs.get_or_init(required)
    }

    fn named_legs(&self) -> &BitSet {
        let named = || self.heuristic.named_legs(self.state, self.required_legs());
        self.named_legs.get_or_init(named)
    }

    /// Whether nothing that is left needs this part open.
    pub fn is_unneeded(&self, part: usize) -> bool {
        !self.needed_parts.contains(part)
    }

    /// Whether this way out is a landmark.
    pub fn is_certain_to_open(&self, moved: PartMove) -> bool {
        self.heuristic
            .is_certain_to_open(self.required_legs(), moved)
    }

    /// Whether the part, put back by this move, would have to come out again.
    pub fn is_certain_to_reopen(&self, moved: PartMove) -> bool {
        self.heuristic
            .is_certain_to_reopen(self.named_legs(), moved)
    }

    /// Whether this way back is for good.
    pub fn is_back_for_good(&self, moved: PartMove) -> bool {
        let needs_itself =
            moved.from == PartState::Off && self.tables.needs_itself.contains(moved.part);
        !needs_itself && self.is_unneeded(moved.part)
    }
}
