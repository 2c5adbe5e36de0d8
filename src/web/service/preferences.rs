//! User preferences in local storage. The app works without them.

use super::store::{self, StoreError};

/// A user preference.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Preference {
    /// The technician's name.
    Technician,
    /// The colours of the screens.
    Theme,
    /// Size of the words.
    TextSize,
    /// Minutes of travel to a visit.
    Travel,
    /// Minutes of paperwork after a visit.
    Paperwork,
    /// The language, by its tag; the device language if not set.
    Language,
    /// The units shown first.
    Measures,
    /// When everything was saved to a file, by the wall clock, ms.
    AllSavedAt,
    /// The jobs that were saved to a file since then.
    SavedJobs,
}

impl Preference {
    const fn name(self) -> &'static str {
        match self {
            Self::Technician => "lidoff/preference/technician",
            Self::Theme => "lidoff/preference/theme",
            Self::TextSize => "lidoff/preference/text-size",
            Self::Travel => "lidoff/preference/travel",
            Self::Paperwork => "lidoff/preference/paperwork",
            Self::Language => "lidoff/preference/language",
            Self::Measures => "lidoff/preference/measures",
            Self::AllSavedAt => "lidoff/preference/all-saved-at",
            Self::SavedJobs => "lidoff/preference/saved-jobs",
        }
    }
}

/// A preference that is on or off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Switch {
    /// The screen stays on while a job runs. On unless it was turned off.
    StayAwake,
    /// Every step is read aloud. Off unless it was turned on.
    ReadAloud,
    /// It beeps when a wait is over. On unless it was turned off.
    Beep,
}

impl Switch {
    const fn name(self) -> &'static str {
        match self {
            Self::StayAwake => "lidoff/preference/stay-awake",
            Self::ReadAloud => "lidoff/preference/speak",
            Self::Beep => "lidoff/preference/mute",
        }
    }

    /// The default, if nothing is stored.
    const fn is_on_at_first(self) -> bool {
        match self {
            Self::StayAwake | Self::Beep => true,
            Self::ReadAloud => false,
        }
    }

    /// The value that is stored if it differs from the default.
    const fn word(self) -> &'static str {
        match self {
            Self::StayAwake => "no",
            Self::ReadAloud | Self::Beep => "yes",
        }
    }
}

/// Whether this is on. The default if nothing can be stored.
pub fn is_on(switch: Switch) -> bool {
    let is_kept = matches!(store::read(switch.name()), Ok(Some(_)));
    is_kept != switch.is_on_at_first()
}

/// Turns this on or off.
///
/// # Errors
/// When that is not kept.
pub fn turn(switch: Switch, on: bool) -> Result<(), StoreError> {
    if on == switch.is_on_at_first() {
        store::remove(switch.name())
    } else {
        store::write(switch.name(), switch.word())
    }
}

/// The stored preference; `None` if there is none or nothing can be stored.
pub fn get(what: Preference) -> Option<String> {
    store::read(what.name()).ok().flatten()
}

/// Stores a preference; removes it if the value is empty.
///
/// # Errors
/// When it is not kept.
pub fn set(what: Preference, value: &str) -> Result<(), StoreError> {
    if value.is_empty() {
        store::remove(what.name())
    } else {
        store::write(what.name(), value)
    }
}
