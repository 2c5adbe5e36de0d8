//! Why a task cannot be done as planned: a part is not available, or a route is
//! blocked.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{FasteningId, Text};
use lidoff_i18n::{localize, tr, tr_noop};

use crate::refs::{NamedTask, OpRef};

/// A part for a task that is missing or wrong.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnavailablePart {
    pub task: NamedTask,
    pub lack: Lack,
}

impl UnavailablePart {
    /// "Main board: the wrong part was brought".
    pub fn describe(&self) -> String {
        format!(
            "{}: {}",
            localize(&self.task.name),
            localize(self.lack.name())
        )
    }
}

/// Why a part is not available.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lack {
    /// It was not brought, or is not in its box.
    Missing,
    /// Another one was brought.
    Wrong,
}

impl Lack {
    /// "the new part is missing", as read behind the name of the part.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Missing => tr_noop!("the new part is missing"),
            Self::Wrong => tr_noop!("the wrong part was brought"),
        }
    }
}

/// An operation that cannot be done on this unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct BlockedOperation {
    /// The operation that cannot be done: easing or taking off.
    pub op: OpRef,
    /// Name of the part.
    pub name: Text,
    /// The fasteners that do not come undone, if they are the reason.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub fastening: Option<FasteningId>,
}

impl BlockedOperation {
    /// "Service door cannot be eased: a fastener does not come undone".
    pub fn describe(&self) -> String {
        let what = match self.op {
            OpRef::Ease(_) => tr!("cannot be eased"),
            _ => tr!("cannot be taken off"),
        };
        let why = match self.fastening {
            Some(_) => tr!(": a fastener will not come loose"),
            None => String::new(),
        };
        format!("{} {what}{why}", localize(&self.name))
    }
}
