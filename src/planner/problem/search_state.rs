//! A state of the search: small, and quick to compare.

use smallvec::SmallVec;

use crate::bit_set::BitSet;
use crate::cost::Tenths;
use crate::state::PartState;

/// The unit and the technician, in local part numbers.
#[derive(Clone, Debug)]
pub struct SearchState {
    /// The open legs, see [`super::leg_of`]. A part that is off has both of its legs open.
    pub open_legs: BitSet,
    /// Tasks still to be done, one bit each.
    pub tasks: u64,
    /// Tool in hand; [`SearchState::NONE`] for none.
    pub tool: u16,
    /// Face up; [`SearchState::NONE`] for unknown.
    pub face: u16,
    /// Remaining time of each wait that matters.
    pub waits: SmallVec<[Tenths; 2]>,
}

impl SearchState {
    /// No tool in hand; face unknown.
    pub const NONE: u16 = u16::MAX;

    pub fn new(parts: usize, waits: usize) -> Self {
        Self {
            open_legs: BitSet::empty(2 * parts),
            tasks: 0,
            tool: Self::NONE,
            face: Self::NONE,
            waits: SmallVec::from_elem(0, waits),
        }
    }

    pub fn part_state(&self, part: usize) -> PartState {
        if self.open_legs.contains(2 * part + 1) {
            PartState::Off
        } else if self.open_legs.contains(2 * part) {
            PartState::Eased
        } else {
            PartState::Fitted
        }
    }

    pub fn set_part(&mut self, part: usize, state: PartState) {
        for (leg, is_open) in [
            (2 * part, state >= PartState::Eased),
            (2 * part + 1, state >= PartState::Off),
        ] {
            if is_open {
                self.open_legs.insert(leg);
            } else {
                self.open_legs.remove(leg);
            }
        }
    }

    /// The parts that are not fitted, in rising order.
    pub fn open_parts(&self) -> impl Iterator<Item = usize> + '_ {
        let legs = self.open_legs.iter();
        legs.filter(|leg| leg.is_multiple_of(2)).map(|leg| leg / 2)
    }

    pub fn is_closed(&self) -> bool {
        self.open_legs.is_empty()
    }
}
