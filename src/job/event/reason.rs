//! Why a plan was made, and why work stopped.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::Text;
use lidoff_i18n::tr_noop;

/// Why a plan was made.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Reason {
    /// It is the first.
    First,
    /// A task was added.
    TaskAdded,
    /// A task was dropped.
    TaskDropped,
    /// A question was answered differently from the assumption.
    Answered,
    /// A route is blocked.
    RouteBlocked,
    /// A blocked route is open again.
    RouteOpen,
    /// A part was found broken.
    PartBroken,
    /// The part for a task is not available: the task is left.
    #[serde(rename = "part-not-to-hand")]
    PartUnavailable,
    /// The unit is fitted differently from what was entered.
    #[serde(rename = "fitted-otherwise")]
    FittedDifferently,
    /// The unit is closed, nothing more is done.
    ClosingUp,
    /// A source turned out not to be isolated.
    IsolationFailed,
    /// After an interruption the isolation is verified again.
    VerifyIsolation,
    /// An entry on which the plan rested was undone.
    EntryUndone,
    /// Another reason, in words.
    Other(Text),
}

impl Reason {
    /// Its name.
    pub fn name(&self) -> &str {
        match self {
            Self::First => tr_noop!("first plan"),
            Self::TaskAdded => tr_noop!("task added"),
            Self::TaskDropped => tr_noop!("task dropped"),
            Self::Answered => tr_noop!("answer changed"),
            Self::RouteBlocked => tr_noop!("route blocked"),
            Self::RouteOpen => tr_noop!("blocked route open again"),
            Self::PartBroken => tr_noop!("part found broken"),
            Self::PartUnavailable => tr_noop!("part not available"),
            Self::FittedDifferently => tr_noop!("unit fitted differently"),
            Self::ClosingUp => tr_noop!("closing up"),
            Self::IsolationFailed => tr_noop!("isolation failed"),
            Self::VerifyIsolation => tr_noop!("isolation verified again"),
            Self::EntryUndone => tr_noop!("entry undone"),
            Self::Other(words) => words,
        }
    }
}

/// Why work stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum PauseReason {
    /// A part is missing or wrong.
    PartMissing,
    /// The customer needs the unit or the place.
    CustomerNeedsUnit,
    Break,
    CalledAway,
    /// Something else; the note says what.
    Other,
}

impl PauseReason {
    /// All of them.
    pub const ALL: [Self; 5] = [
        Self::PartMissing,
        Self::CustomerNeedsUnit,
        Self::Break,
        Self::CalledAway,
        Self::Other,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::PartMissing => tr_noop!("part missing"),
            Self::CustomerNeedsUnit => tr_noop!("customer needs the unit"),
            Self::Break => tr_noop!("break"),
            Self::CalledAway => tr_noop!("called away"),
            Self::Other => tr_noop!("something else"),
        }
    }
}
