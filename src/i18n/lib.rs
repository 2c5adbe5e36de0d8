//! The language that people read: English stays in the code and in the data, and
//! is looked up when it is shown.
//!
//! In the code a text stands in `tr!`, in a catalog or a job's log as it is; its
//! translation lies beside what it translates: a gettext PO file for the code (`de.po` in
//! this crate) and one for each catalog. The build makes one small file a language of them, which only those
//! fetch who chose it. A language is chosen once, before the first screen: another
//! choice starts the app anew.

mod language;
mod measures;
mod words;

use std::borrow::Cow;
use std::fmt;
use std::sync::OnceLock;

use ::tr::runtime_format::display_string;

pub use language::Language;
pub use measures::{Measures, length, number, plain, sized, threaded, torque};
#[cfg(not(target_arch = "wasm32"))]
pub use words::{Clash, Entry, write};
pub use words::{Words, WordsError, key};

/// A text in the language chosen, its places filled: the syntax and the filling of
/// the `tr` crate (`tr!("Done by {time}", time = x)`,
/// `tr!("one place" | "{n} places" % count)`, `tr!("a date" => "{day}")`).
///
/// What that crate's own macro puts at every call, its register of translators with
/// a lock and a hash map, is left out: on some five hundred texts it weighed 117 kB of
/// WASM, 4 kB of them over the air.
#[macro_export]
macro_rules! tr {
    ($context:literal => $one:literal | $many:literal % $n:expr $(, $($rest:tt)+)?) => {{
        let n = $n;
        $crate::counted(
            n as u64, $one, $many, Some($context),
            $crate::runtime_format!(@parse_args [] $($($rest)+,)? n = n),
        )
    }};
    ($one:literal | $many:literal % $n:expr $(, $($rest:tt)+)?) => {{
        let n = $n;
        $crate::counted(
            n as u64, $one, $many, None,
            $crate::runtime_format!(@parse_args [] $($($rest)+,)? n = n),
        )
    }};
    ($context:literal => $text:literal, $($rest:tt)+) => {
        $crate::filled(
            $text, Some($context), $crate::runtime_format!(@parse_args [] $($rest)+),
        )
    };
    ($text:literal, $($rest:tt)+) => {
        $crate::filled($text, None, $crate::runtime_format!(@parse_args [] $($rest)+))
    };
    ($context:literal => $text:literal) => {
        $crate::plainly($text, Some($context))
    };
    ($text:literal) => {
        $crate::plainly($text, None)
    };
}

/// Marks a text that is looked up when it is shown, by [`localize`]: where `tr!` cannot
/// stand, as in a constant.
#[macro_export]
macro_rules! tr_noop {
    ($text:literal) => {
        $text
    };
}

static SPOKEN: OnceLock<Words> = OnceLock::new();
static MEASURES: OnceLock<Measures> = OnceLock::new();

/// From now on these words are spoken. The first who says so is heard, and nobody
/// after.
pub fn speak(words: Words) {
    // Spoken before: that language stands.
    let _spoken_before = SPOKEN.set(words);
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
pub fn localize(text: &str) -> Cow<'_, str> {
    match SPOKEN.get() {
        None => Cow::Borrowed(text),
        Some(words) => localize_in(words, text),
    }
}

/// The same for a text that was marked by [`tr_noop`].
pub fn localize_static(text: &'static str) -> &'static str {
    let words = SPOKEN.get();
    words
        .and_then(|words| words.find(text, None))
        .unwrap_or(text)
}

/// Where a long word may be broken at the end of a line (U+00AD): in translations,
/// for the eye alone.
pub const MAY_BREAK: char = '\u{ad}';

/// A text without its places to break, for what is no eye: a voice, a spreadsheet's
/// search, a calendar.
pub fn unbroken(text: &str) -> Cow<'_, str> {
    if text.contains(MAY_BREAK) {
        Cow::Owned(text.replace(MAY_BREAK, ""))
    } else {
        Cow::Borrowed(text)
    }
}

/// Whether what was typed, in whatever case, is in these words.
pub fn has_in_it(words: &str, typed: &str) -> bool {
    let words = unbroken(words).to_lowercase();
    words.contains(&typed.trim().to_lowercase())
}

/// A name with its size behind a comma ("pan head screw, M3 × 8") is put together
/// from the catalog when a plan is made, and is in no catalog as a whole: its name
/// is looked up by itself.
fn localize_in<'a>(words: &Words, text: &'a str) -> Cow<'a, str> {
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

// What `tr!` calls, in whichever package; none of it is inlined, so that a text
// costs a call and no more.

#[doc(hidden)]
pub use ::tr::runtime_format;

fn find(text: &'static str, context: Option<&str>) -> Option<&'static str> {
    SPOKEN.get()?.find(text, context)
}

#[doc(hidden)]
#[inline(never)]
pub fn plainly(text: &'static str, context: Option<&str>) -> String {
    find(text, context).unwrap_or(text).to_owned()
}

/// The places to be filled, by name; those without one have an empty one.
type Places<'a> = &'a [(&'a str, &'a dyn fmt::Display)];

#[doc(hidden)]
#[inline(never)]
pub fn filled(text: &'static str, context: Option<&str>, places: Places) -> String {
    display_string(find(text, context).unwrap_or(text), places)
}

#[doc(hidden)]
#[inline(never)]
pub fn counted(
    n: u64,
    one: &'static str,
    many: &'static str,
    context: Option<&str>,
    places: Places,
) -> String {
    let words = SPOKEN.get();
    let said = words.and_then(|words| words.count(n, one, context));
    let english = if n == 1 { one } else { many };
    display_string(said.unwrap_or(english), places)
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::*;

    #[test]
    fn english_stands_where_no_other_language_was_chosen() {
        assert_eq!(tr!("As it stands"), "As it stands");
        assert_eq!(tr!("here" => "As {it} stands"), "As {it} stands");
        assert_eq!(tr!("{} by {time}", 3, time = "14:05"), "3 by 14:05");
        let parts = |n: usize| tr!("{n} part of {}" | "{n} parts of {}" % n, 7);
        assert_eq!([parts(1), parts(2)], ["1 part of 7", "2 parts of 7"]);
        assert_eq!(tr!("x" => "one" | "{n} all" % 5), "5 all");
    }

    #[test]
    fn a_name_with_its_size_is_known_by_its_name() {
        let entry = Entry {
            text: "pan head screw".into(),
            context: None,
            forms: vec!["Flachkopfschraube".into()],
        };
        let text = write(Language::German, &[entry]).expect("no clash");
        let words = Words::read(Language::German, &text).expect("whole");
        let said = |text| localize_in(&words, text).into_owned();
        assert_eq!(said("pan head screw"), "Flachkopfschraube");
        assert_eq!(said("pan head screw, M3 × 8"), "Flachkopfschraube, M3 × 8");
        assert_eq!(said("wafer, M3 × 8"), "wafer, M3 × 8");
    }

    #[test]
    fn a_word_is_found_by_whoever_types_it_without_its_places_to_break() {
        let name = "Arbeits\u{ad}speicher\u{ad}modul";
        for typed in ["arbeitsspeichermodul", "Modul ", "SSPEI", ""] {
            assert!(has_in_it(name, typed), "{typed}");
        }
        assert!(!has_in_it(name, "module"));
    }
}
