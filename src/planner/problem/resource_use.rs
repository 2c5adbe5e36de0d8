//! Which tools, or which faces, an operation uses, in order.
//!
//! Tools and faces are *resources*: one tool is in hand and one face is up at a time, and
//! changing either costs time.

use smallvec::SmallVec;

use super::search_state::SearchState;

/// Resources of one sort in the order of use; none stands twice in a row.
pub type ResourceSequence = SmallVec<[u16; 2]>;

/// The tools, or the faces, that an operation uses.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ResourceUse {
    /// [`SearchState::NONE`] where it uses none.
    pub first: u16,
    pub last: u16,
    /// Changes within the operation.
    pub changes: u32,
    pub sequence: ResourceSequence,
}

impl ResourceUse {
    pub fn new(wanted: impl Iterator<Item = Option<usize>>) -> Self {
        let mut usage = Self {
            first: SearchState::NONE,
            last: SearchState::NONE,
            changes: 0,
            sequence: ResourceSequence::new(),
        };
        for resource in wanted.flatten() {
            let resource = resource as u16;
            if usage.first == SearchState::NONE {
                usage.first = resource;
            } else if usage.last != resource {
                usage.changes += 1;
            }
            if usage.last != resource {
                usage.sequence.push(resource);
            }
            usage.last = resource;
        }
        usage
    }

    /// Changes that the operation costs with this in hand (or up), the one before its
    /// first step included.
    pub fn changes_from(&self, current: u16) -> u32 {
        self.changes + u32::from(self.first != SearchState::NONE && self.first != current)
    }

    /// What is in hand (or up) after it.
    pub fn current_after(&self, current: u16) -> u16 {
        if self.last == SearchState::NONE {
            current
        } else {
            self.last
        }
    }

    /// Whether it costs no change and leaves what is in hand (or up).
    pub fn keeps(&self, current: u16) -> bool {
        self.changes_from(current) == 0
    }
}
