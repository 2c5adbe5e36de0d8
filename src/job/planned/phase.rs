//! The six phases of a job.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::Text;
use lidoff_i18n::{tr, tr_noop};

/// The six phases of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JobPhase {
    /// Shut down, unplug, discharge, protect.
    MakeSafe,
    /// Take off what stands in the way.
    StripDown,
    /// Swap, reseat, inspect, serve.
    Fit,
    /// Close in a legal order.
    Refit,
    /// Show that it works.
    Prove,
    /// Record, and what is still open.
    HandOver,
}

impl JobPhase {
    /// All of them, in order.
    pub const ALL: [Self; 6] = [
        Self::MakeSafe,
        Self::StripDown,
        Self::Fit,
        Self::Refit,
        Self::Prove,
        Self::HandOver,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::MakeSafe => tr_noop!("make safe"),
            Self::StripDown => tr_noop!("strip down"),
            Self::Fit => tr_noop!("fit"),
            Self::Refit => tr_noop!("refit"),
            Self::Prove => tr_noop!("prove"),
            Self::HandOver => tr_noop!("hand over"),
        }
    }

    /// Why the steps of this phase are there; `None` if each of them has its own reason.
    pub fn reason(self) -> Option<Text> {
        match self {
            Self::MakeSafe => Some(tr!(
                "The unit is made safe before anything is opened. This comes first in every \
                 plan and is never left out."
            )),
            Self::Prove => Some(tr!(
                "Every plan ends with these checks. They show whether the unit works before \
                 it is handed back."
            )),
            Self::HandOver => Some(tr!(
                "Every plan ends with the hand-over, so that the next person knows the \
                 state of the unit."
            )),
            Self::StripDown | Self::Fit | Self::Refit => None,
        }
    }
}
