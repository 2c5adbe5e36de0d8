//! A state of the search: small, and quick to compare.

use std::ops::{Deref, DerefMut};

use smallvec::SmallVec;

use crate::plan::{PartState, Tenths};

/// Who is where, what is left, what is in hand, and what is waited for.
#[derive(Clone, Debug)]
pub(in crate::plan) struct Node {
    pub place: Place,
    /// How long each wait that matters still runs.
    pub waits: SmallVec<[Tenths; 2]>,
}

/// A state but for its waits. Parts are local numbers.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub(in crate::plan) struct Place {
    parts: SmallVec<[u64; 2]>,
    /// Tasks still to be done, a bit each.
    pub tasks: u64,
    /// Tool in hand; [`Node::NO`] for none.
    pub tool: u16,
    /// Face up; [`Node::NO`] for not known.
    pub face: u16,
}

impl Node {
    /// No tool in hand; no face known.
    pub const NO: u16 = u16::MAX;

    pub fn new(parts: usize, waits: usize) -> Self {
        Self {
            place: Place {
                parts: SmallVec::from_elem(0, parts.div_ceil(32).max(1)),
                tasks: 0,
                tool: Self::NO,
                face: Self::NO,
            },
            waits: SmallVec::from_elem(0, waits),
        }
    }
}

impl Deref for Node {
    type Target = Place;

    fn deref(&self) -> &Place {
        &self.place
    }
}

impl DerefMut for Node {
    fn deref_mut(&mut self) -> &mut Place {
        &mut self.place
    }
}

impl Place {
    pub fn of(&self, part: usize) -> PartState {
        match self.parts[part / 32] >> (part % 32 * 2) & 3 {
            0 => PartState::Fitted,
            1 => PartState::Eased,
            _ => PartState::Off,
        }
    }

    pub fn set(&mut self, part: usize, state: PartState) {
        let shift = part % 32 * 2;
        let word = &mut self.parts[part / 32];
        *word &= !(3 << shift);
        *word |= (state as u64) << shift;
    }

    pub fn is_closed(&self) -> bool {
        self.parts.iter().all(|word| *word == 0)
    }
}
