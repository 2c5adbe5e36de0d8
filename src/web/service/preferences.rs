//! What the user likes, in local storage: the app works without any of it.

use super::store::{self, StoreError};

/// Something that the user may like otherwise.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Preference {
    /// The technician's name.
    Technician,
    /// The colours of the screens.
    Theme,
    /// Size of the words.
    TextSize,
    /// "no" where the screen need not stay on while a job runs.
    StayAwake,
    /// "yes" where every step is read aloud.
    Speak,
    /// "yes" where nothing beeps.
    Mute,
    /// Minutes of travel to a visit.
    Travel,
    /// Minutes of paperwork after a visit.
    Paperwork,
    /// The language, by its tag; as the device is set where there is none.
    Language,
    /// The units that come first.
    Measures,
}

impl Preference {
    const fn name(self) -> &'static str {
        match self {
            Self::Technician => "lidoff/preference/technician",
            Self::Theme => "lidoff/preference/theme",
            Self::TextSize => "lidoff/preference/text-size",
            Self::StayAwake => "lidoff/preference/stay-awake",
            Self::Speak => "lidoff/preference/speak",
            Self::Mute => "lidoff/preference/mute",
            Self::Travel => "lidoff/preference/travel",
            Self::Paperwork => "lidoff/preference/paperwork",
            Self::Language => "lidoff/preference/language",
            Self::Measures => "lidoff/preference/measures",
        }
    }
}

/// What is preferred; `None` when nothing was said, or nothing can be kept.
pub fn get(what: Preference) -> Option<String> {
    store::read(what.name()).ok().flatten()
}

/// Keeps what is preferred; nothing, when it is empty.
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
