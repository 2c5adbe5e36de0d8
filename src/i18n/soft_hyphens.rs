//! Soft hyphens: where a long word may break at the end of a line.
//!
//! They are only for display. They are removed from text that is spoken, searched or
//! written to a file.

use std::borrow::Cow;

/// Where a long word may be broken (U+00AD).
pub const SOFT_HYPHEN: char = '\u{ad}';

/// A text without soft hyphens, for a voice, a spreadsheet or a calendar.
pub fn strip_soft_hyphens(text: &str) -> Cow<'_, str> {
    if text.contains(SOFT_HYPHEN) {
        Cow::Owned(text.replace(SOFT_HYPHEN, ""))
    } else {
        Cow::Borrowed(text)
    }
}

/// Whether a text contains what was typed into a search field, in upper or lower
/// case.
pub fn contains_typed(text: &str, typed: &str) -> bool {
    let text = strip_soft_hyphens(text).to_lowercase();
    text.contains(&typed.trim().to_lowercase())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_search_finds_a_word_whatever_its_case_and_soft_hyphens() {
        let name = "Arbeits\u{ad}speicher\u{ad}modul";
        for typed in ["arbeitsspeichermodul", "Modul ", "SSPEI", ""] {
            assert!(contains_typed(name, typed), "{typed}");
        }
        assert!(!contains_typed(name, "module"));
    }
}
