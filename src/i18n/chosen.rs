//! The language and units chosen for this run, and the lookup of texts in that
//! language.
//!
//! Both are set once, before the first screen. Later calls are ignored; to change them,
//! restart the app.

use std::borrow::Cow;
use std::fmt;
use std::sync::OnceLock;

use ::tr::runtime_format::display_string;

use super::language::Language;
use super::measures::Measures;
use super::translations::Translations;

static TRANSLATIONS: OnceLock<Translations> = OnceLock::new();
static MEASURES: OnceLock<Measures> = OnceLock::new();

/// Chooses the language of these translations. Only the first call counts.
pub fn set_language(translations: Translations) {
    let _already_chosen = TRANSLATIONS.set(translations);
}

/// Chooses the units that come first. Only the first call counts.
pub fn set_measures(measures: Measures) {
    let _already_chosen = MEASURES.set(measures);
}

/// The chosen language; English if none was chosen.
pub fn language() -> Language {
    TRANSLATIONS
        .get()
        .map_or(Language::English, Translations::language)
}

/// The units shown first; metric if none were chosen.
pub fn measures() -> Measures {
    MEASURES.get().copied().unwrap_or(Measures::Metric)
}

/// A text of a catalog or of a job's log in the language chosen; in English where
/// it has no translation.
///
/// ```
/// // No language was chosen, so the English text is kept.
/// assert_eq!(lidoff_i18n::localize("Lift the lid off"), "Lift the lid off");
/// ```
pub fn localize(text: &str) -> Cow<'_, str> {
    match find_translation(text) {
        Some(translated) => Cow::Borrowed(translated),
        None => Cow::Borrowed(text),
    }
}

/// The same for a text that was marked with [`tr_noop!`](crate::tr_noop).
pub fn localize_static(text: &'static str) -> &'static str {
    find_translation(text).unwrap_or(text)
}

/// The translation of a text; `None` where the language chosen has none.
pub fn find_translation(text: &str) -> Option<&'static str> {
    find(text, None)
}

fn find(text: &str, context: Option<&str>) -> Option<&'static str> {
    TRANSLATIONS.get()?.find(text, context)
}

// What `tr!` calls, in whichever crate; none of it is inlined, so that a text
// costs one call.

#[doc(hidden)]
#[inline(never)]
pub fn translate(text: &'static str, context: Option<&str>) -> String {
    find(text, context).unwrap_or(text).to_owned()
}

/// The values to fill in, by name; those without one have an empty name.
type Values<'a> = &'a [(&'a str, &'a dyn fmt::Display)];

#[doc(hidden)]
#[inline(never)]
pub fn translate_with(text: &'static str, context: Option<&str>, values: Values) -> String {
    display_string(find(text, context).unwrap_or(text), values)
}

#[doc(hidden)]
#[inline(never)]
pub fn translate_counted(
    n: u64,
    one: &'static str,
    many: &'static str,
    context: Option<&str>,
    values: Values,
) -> String {
    let translations = TRANSLATIONS.get();
    let translated = translations.and_then(|all| all.find_counted(n, one, context));
    let english = if n == 1 { one } else { many };
    display_string(translated.unwrap_or(english), values)
}
