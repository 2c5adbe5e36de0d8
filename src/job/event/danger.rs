//! A danger that was found: reported at once, before anything else.

use serde::{Deserialize, Serialize};

use lidoff_i18n::tr_noop;

/// What was found.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Danger {
    /// Smoke, flames or a burning smell.
    Smoke,
    /// A part that should be dead is live.
    LivePart,
    /// A battery that is swollen, hot or leaking.
    SwollenBattery,
    /// Somebody is hurt.
    PersonHurt,
}

impl Danger {
    /// All of them.
    pub const ALL: [Self; 4] = [
        Self::Smoke,
        Self::LivePart,
        Self::SwollenBattery,
        Self::PersonHurt,
    ];

    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Smoke => tr_noop!("smoke, flames or a burning smell"),
            Self::LivePart => tr_noop!("a part is live"),
            Self::SwollenBattery => tr_noop!("a battery is swollen, hot or leaking"),
            Self::PersonHurt => tr_noop!("someone is hurt"),
        }
    }
}
