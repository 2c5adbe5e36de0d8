//! A state of the search: small, and quick to compare.

use smallvec::SmallVec;

use crate::bits::Bits;
use crate::{PartState, Tenths};

/// Who is where, what is left, what is in hand, and what is waited for. Parts are
/// local numbers.
#[derive(Clone, Debug)]
pub struct Node {
    /// The legs that are walked, see [`super::leg`]; of a part that is off, both
    /// that there may be. That says who is where.
    pub parts: Bits,
    /// Tasks still to be done, a bit each.
    pub tasks: u64,
    /// Tool in hand; [`Node::NO`] for none.
    pub tool: u16,
    /// Face up; [`Node::NO`] for not known.
    pub face: u16,
    /// How long each wait that matters still runs.
    pub waits: SmallVec<[Tenths; 2]>,
}

impl Node {
    /// No tool in hand; no face known.
    pub const NO: u16 = u16::MAX;

    pub fn new(parts: usize, waits: usize) -> Self {
        Self {
            parts: Bits::none(2 * parts),
            tasks: 0,
            tool: Self::NO,
            face: Self::NO,
            waits: SmallVec::from_elem(0, waits),
        }
    }

    pub fn of(&self, part: usize) -> PartState {
        if self.parts.contains(2 * part + 1) {
            PartState::Off
        } else if self.parts.contains(2 * part) {
            PartState::Eased
        } else {
            PartState::Fitted
        }
    }

    pub fn set(&mut self, part: usize, state: PartState) {
        for (leg, walked) in [
            (2 * part, state >= PartState::Eased),
            (2 * part + 1, state >= PartState::Off),
        ] {
            if walked {
                self.parts.insert(leg);
            } else {
                self.parts.remove(leg);
            }
        }
    }

    /// The parts that are not fitted, in rising order.
    pub fn open(&self) -> impl Iterator<Item = usize> + '_ {
        let legs = self.parts.iter();
        legs.filter(|leg| leg.is_multiple_of(2)).map(|leg| leg / 2)
    }

    pub fn is_closed(&self) -> bool {
        self.parts.is_empty()
    }
}
