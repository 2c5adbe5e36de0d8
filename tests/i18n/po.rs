//! Translations: gettext PO files, in `words/`.

use std::collections::BTreeMap;
use std::path::PathBuf;

use lidoff_i18n::Language;
use lidoff_testkit::repository;
use rspolib::{POFile, pofile};

/// A text to be translated.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Text {
    /// What tells it from another of the same letters.
    pub context: Option<String>,
    /// The text; where it is counted, for one.
    pub one: String,
    /// Where it is counted: for any other number.
    pub many: Option<String>,
}

/// The languages that are not English.
pub fn others() -> impl Iterator<Item = Language> {
    Language::ALL
        .into_iter()
        .filter(|language| *language != Language::English)
}

/// Where a translation lies: "lidoff" for the code, else a catalog's unit.
pub fn path(language: Language, of: &str) -> PathBuf {
    let tag = language.tag();
    repository(&match of {
        "lidoff" => format!("src/i18n/{tag}.po"),
        unit => format!("catalogs/{unit}.{tag}.po"),
    })
}

/// A translation as it lies there.
pub fn file(language: Language, of: &str) -> POFile {
    let path = path(language, of);
    let text = std::fs::read_to_string(&path)
        .unwrap_or_else(|error| panic!("{}: {error}; make words", path.display()));
    pofile(text.as_str()).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// Each text with its forms.
pub fn forms(language: Language, of: &str) -> BTreeMap<Text, Vec<String>> {
    let file = file(language, of);
    let live = file.entries.iter().filter(|entry| !entry.obsolete);
    live.map(|entry| {
        let text = Text {
            context: entry.msgctxt.clone(),
            one: entry.msgid.clone(),
            many: entry.msgid_plural.clone(),
        };
        let forms = match &text.many {
            Some(_) => entry.msgstr_plural.clone(),
            None => vec![entry.msgstr.clone().unwrap_or_default()],
        };
        (text, forms)
    })
    .collect()
}
