//! Translation of texts. English is the source language in code and data; texts are
//! translated when they are shown.
//!
//! In code, a text is written in [`tr!`]; catalogs and job logs store it as plain
//! English. Translations are in gettext PO files: `de.po` in this crate for the code,
//! and one file beside each catalog. The build turns them into one small file per
//! language ([`Translations`]). The app fetches only the file of the chosen language.
//!
//! Invariants: a text without a translation is shown in English. The language is chosen
//! once, before the first screen. A composed text (a name with its size) is never
//! looked up as a whole; its pieces are looked up one by one.

mod chosen;
mod language;
mod measures;
mod quantities;
mod soft_hyphens;
mod translations;

#[doc(hidden)]
pub use ::tr::runtime_format;
pub use chosen::{
    find_translation, language, localize, localize_static, measures, set_language, set_measures,
};
#[doc(hidden)]
pub use chosen::{translate, translate_counted, translate_with};
pub use language::Language;
pub use measures::Measures;
pub use quantities::{fastener_size, length, number, plain, threaded, torque, torque_setting};
pub use soft_hyphens::{SOFT_HYPHEN, contains_typed, strip_soft_hyphens};
#[cfg(not(target_arch = "wasm32"))]
pub use translations::{KeyClash, TranslationEntry, write};
pub use translations::{Translations, TranslationsError, key};

/// A text in the language chosen, with its values filled in: the syntax of the `tr`
/// crate.
///
/// ```
/// use lidoff_i18n::tr;
///
/// let steps = 3;
/// assert_eq!(tr!("Done by {time}", time = "14:05"), "Done by 14:05");
/// assert_eq!(tr!("one step" | "{n} steps" % steps), "3 steps");
/// // A context tells apart two texts that are the same in English.
/// assert_eq!(tr!("a date" => "{day} May", day = 4), "4 May");
/// ```
///
/// What that crate's own macro puts at every call, its register of translators with
/// a lock and a hash map, is left out: on some five hundred texts it weighed 117 kB of
/// WASM, 4 kB of them over the air.
#[macro_export]
macro_rules! tr {
    ($context:literal => $one:literal | $many:literal % $n:expr $(, $($rest:tt)+)?) => {{
        let n = $n;
        $crate::translate_counted(
            n as u64, $one, $many, Some($context),
            $crate::runtime_format!(@parse_args [] $($($rest)+,)? n = n),
        )
    }};
    ($one:literal | $many:literal % $n:expr $(, $($rest:tt)+)?) => {{
        let n = $n;
        $crate::translate_counted(
            n as u64, $one, $many, None,
            $crate::runtime_format!(@parse_args [] $($($rest)+,)? n = n),
        )
    }};
    ($context:literal => $text:literal, $($rest:tt)+) => {
        $crate::translate_with(
            $text, Some($context), $crate::runtime_format!(@parse_args [] $($rest)+),
        )
    };
    ($text:literal, $($rest:tt)+) => {
        $crate::translate_with($text, None, $crate::runtime_format!(@parse_args [] $($rest)+))
    };
    ($context:literal => $text:literal) => {
        $crate::translate($text, Some($context))
    };
    ($text:literal) => {
        $crate::translate($text, None)
    };
}

/// Marks a text that is looked up later by [`localize`]: where `tr!` cannot stand,
/// as in a constant.
#[macro_export]
macro_rules! tr_noop {
    ($text:literal) => {
        $text
    };
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    #[test]
    fn texts_stay_english_where_no_other_language_was_chosen() {
        assert_eq!(tr!("As it stands"), "As it stands");
        assert_eq!(tr!("here" => "As {it} stands"), "As {it} stands");
        assert_eq!(tr!("{} by {time}", 3, time = "14:05"), "3 by 14:05");
        let parts = |n: usize| tr!("{n} part of {}" | "{n} parts of {}" % n, 7);
        assert_eq!([parts(1), parts(2)], ["1 part of 7", "2 parts of 7"]);
        assert_eq!(tr!("x" => "one" | "{n} all" % 5), "5 all");
    }
}
