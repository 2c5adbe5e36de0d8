//! The language that people read: English stays in the code and in the data, and
//! is looked up when it is shown.
//!
//! In the code a text stands in `tr!`, in a catalog or a job's log as it is; its
//! translation stands in `words/`, a gettext PO file for the code and one for each
//! catalog. The build makes one small file a language of them, which only those
//! fetch who chose it. A language is chosen once, before the first screen: another
//! choice starts the app anew.

mod language;
mod measures;
mod words;

use std::borrow::Cow;
use std::sync::OnceLock;

pub use language::Language;
pub use measures::{Measures, length, number, plain, torque};
#[cfg(not(target_arch = "wasm32"))]
pub use words::{Clash, Entry, write};
pub use words::{Words, WordsError, key};

/// Marks a text that is looked up when it is shown, by [`said`]: where `tr!` cannot
/// stand, as in a constant.
macro_rules! later {
    ($text:literal) => {
        $text
    };
}
pub(crate) use later;

static SPOKEN: OnceLock<Words> = OnceLock::new();
static MEASURES: OnceLock<Measures> = OnceLock::new();

/// From now on these words are spoken. The first who says so is heard, and nobody
/// after.
pub fn speak(words: Words) {
    if words.language() != Language::English && SPOKEN.set(words).is_ok() {
        tr::set_translator!(Spoken);
    }
}

/// From now on these units come first. The first who says so is heard.
pub fn measure_in(measures: Measures) {
    // Chosen before: that choice stands.
    let _chosen_before = MEASURES.set(measures);
}

/// The language that is spoken.
pub fn language() -> Language {
    SPOKEN.get().map_or(Language::English, Words::language)
}

/// The units that come first.
pub fn measures() -> Measures {
    MEASURES.get().copied().unwrap_or(Measures::Metric)
}

/// A text of a catalog or of a job's log, in the language chosen; as it stands
/// where there is none.
pub fn said(text: &str) -> Cow<'_, str> {
    match SPOKEN.get() {
        None => Cow::Borrowed(text),
        Some(words) => said_in(words, text),
    }
}

/// The same for a text that was marked by [`later`].
pub fn spoken(text: &'static str) -> &'static str {
    let words = SPOKEN.get();
    words
        .and_then(|words| words.find(text, None))
        .unwrap_or(text)
}

/// A name with its size behind a comma ("pan head screw, M3 × 8") is put together
/// from the catalog when a plan is made, and is in no catalog as a whole: its name
/// is looked up by itself.
fn said_in<'a>(words: &Words, text: &'a str) -> Cow<'a, str> {
    if let Some(said) = words.find(text, None) {
        return Cow::Owned(said.to_owned());
    }
    if let Some((name, size)) = text.rsplit_once(", ")
        && let Some(said) = words.find(name, None)
    {
        return Cow::Owned(format!("{said}, {size}"));
    }
    Cow::Borrowed(text)
}

/// What `tr!` asks.
struct Spoken;

impl tr::Translator for Spoken {
    fn translate<'a>(&'a self, string: &'a str, context: Option<&'a str>) -> Cow<'a, str> {
        match SPOKEN.get() {
            Some(words) => words.translate(string, context),
            None => Cow::Borrowed(string),
        }
    }

    fn ntranslate<'a>(
        &'a self,
        n: u64,
        singular: &'a str,
        plural: &'a str,
        context: Option<&'a str>,
    ) -> Cow<'a, str> {
        match SPOKEN.get() {
            Some(words) => words.ntranslate(n, singular, plural, context),
            None => Cow::Borrowed(if n == 1 { singular } else { plural }),
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::*;

    #[test]
    fn a_name_with_its_size_is_known_by_its_name() {
        let entry = Entry {
            text: "pan head screw".into(),
            context: None,
            forms: vec!["Flachkopfschraube".into()],
        };
        let text = write(Language::German, &[entry]).expect("no clash");
        let words = Words::read(Language::German, &text).expect("whole");
        let said = |text| said_in(&words, text).into_owned();
        assert_eq!(said("pan head screw"), "Flachkopfschraube");
        assert_eq!(said("pan head screw, M3 × 8"), "Flachkopfschraube, M3 × 8");
        assert_eq!(said("wafer, M3 × 8"), "wafer, M3 × 8");
    }
}
