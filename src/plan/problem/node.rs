//! A state of the search: small, and quick to compare.

use smallvec::SmallVec;

use crate::plan::bits::Bits;
use crate::plan::{PartState, Tenths};

/// The states of the parts, packed.
pub(in crate::plan) type PartSet = SmallVec<[u64; 2]>;

/// Who is where, what is left, what is in hand, and what is waited for. Parts are
/// local numbers.
#[derive(Clone, Debug)]
pub(in crate::plan) struct Node {
    pub parts: PartSet,
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
            parts: SmallVec::from_elem(0, parts.div_ceil(32).max(1)),
            tasks: 0,
            tool: Self::NO,
            face: Self::NO,
            waits: SmallVec::from_elem(0, waits),
        }
    }

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

    /// The legs that are walked, see [`super::leg`].
    pub fn walked(&self, parts: usize) -> Bits {
        let mut set = Bits::none(2 * parts);
        for part in self.open() {
            set.insert(2 * part);
            if self.of(part) == PartState::Off {
                set.insert(2 * part + 1);
            }
        }
        set
    }

    /// The parts that are not fitted, in rising order.
    pub fn open(&self) -> impl Iterator<Item = usize> + '_ {
        const LOW: u64 = 0x5555_5555_5555_5555;
        self.parts.iter().enumerate().flat_map(|(at, word)| {
            let mut rest = (word | word >> 1) & LOW;
            std::iter::from_fn(move || {
                (rest != 0).then(|| {
                    let bit = rest.trailing_zeros() as usize;
                    rest &= rest - 1;
                    at * 32 + bit / 2
                })
            })
        })
    }

    pub fn is_closed(&self) -> bool {
        self.parts.iter().all(|word| *word == 0)
    }
}
