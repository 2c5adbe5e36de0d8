//! The phases of a job.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::Text;
use lidoff_i18n::{tr, tr_noop};

/// The phases of a job. Energy may be isolated and made live again several times, and between
/// other phases.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JobPhase {
    /// Consent, shut down, barrier, protection.
    MakeSafe,
    /// Isolate energy and prove it.
    Isolate,
    /// Take off what stands in the way.
    StripDown,
    /// Swap, reseat, inspect, serve.
    Fit,
    /// Close in a legal order.
    Refit,
    /// Make energy live again.
    Energise,
    /// Show that it works.
    Prove,
    /// Record, and what is still open.
    HandOver,
}

impl JobPhase {
    /// All of them, in order.
    pub const ALL: [Self; 8] = [
        Self::MakeSafe,
        Self::Isolate,
        Self::StripDown,
        Self::Fit,
        Self::Refit,
        Self::Energise,
        Self::Prove,
        Self::HandOver,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::MakeSafe => tr_noop!("make safe"),
            Self::Isolate => tr_noop!("isolate"),
            Self::StripDown => tr_noop!("strip down"),
            Self::Fit => tr_noop!("fit"),
            Self::Refit => tr_noop!("refit"),
            Self::Energise => tr_noop!("energise"),
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
            Self::Isolate | Self::StripDown | Self::Fit | Self::Refit | Self::Energise => None,
        }
    }
}
