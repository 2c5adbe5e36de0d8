//! The change of tool and face before an action.

use crate::problem::{Action, SearchState};

/// The tool and the face that are changed to first; `None` where the current one will do.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) struct Changeover {
    tool: Option<u16>,
    face: Option<u16>,
}

impl Changeover {
    pub fn before(action: &Action, state: &SearchState) -> Self {
        let change_to = |first: u16, current: u16| {
            Some(first).filter(|first| *first != SearchState::NONE && *first != current)
        };
        Self {
            tool: change_to(action.tools.first, state.tool),
            face: change_to(action.faces.first, state.face),
        }
    }

    /// Whether the other one makes this change, alone or with one more.
    pub fn is_part_of(self, other: Self) -> bool {
        (self.tool.is_none() || self.tool == other.tool)
            && (self.face.is_none() || self.face == other.face)
    }
}
