//! The words that the page has before the app is there: in every language, and the
//! same as in the app.

use std::collections::{BTreeMap, BTreeSet};

use lidoff_i18n::Language;
use serde::Deserialize;

use crate::po;

const PAGE: &str = include_str!("../../public/index.html");
const SCRIPT: &str = include_str!("../../public/boot-words.js");

#[derive(Deserialize)]
struct Boot {
    lang: String,
    dir: String,
    words: BTreeMap<String, String>,
}

/// What the script says of each language, by the primary part of its tag.
fn languages() -> BTreeMap<String, Boot> {
    let (_, table) = SCRIPT.split_once("const LANGUAGES = ").expect("the table");
    let (table, _) = table.split_once(";\n").expect("its end");
    serde_json::from_str(table).expect("strict JSON")
}

fn primary(language: Language) -> &'static str {
    language.tag().split('-').next().unwrap_or_default()
}

/// The body without what is for browsers that run no script: those choose no
/// language.
fn body() -> String {
    let (_, body) = PAGE.split_once("<body>").expect("a body");
    let (before, rest) = body
        .split_once("<noscript>")
        .expect("a word without script");
    let (_, after) = rest.split_once("</noscript>").expect("its end");
    format!("{before}{after}")
}

/// Each element's tag, and the text up to the next one.
fn elements(html: &str) -> impl Iterator<Item = (&str, &str)> {
    html.split('<').filter_map(|piece| {
        let (tag, text) = piece.split_once('>')?;
        Some((tag, text.trim()))
    })
}

/// The texts of the page that its script looks up.
fn texts() -> BTreeSet<String> {
    let body = body();
    let mut texts = BTreeSet::new();
    for (tag, text) in elements(&body).filter(|(tag, _)| tag.contains(" data-i18n")) {
        texts.insert(text.to_owned());
        for data in ["data-early", "data-unloaded"] {
            if let Some((_, value)) = tag.split_once(&format!("{data}=\"")) {
                texts.extend(value.split('"').next().map(str::to_owned));
            }
        }
    }
    texts.remove("");
    texts
}

#[test]
fn every_text_of_the_page_is_looked_up() {
    let body = body();
    for (tag, text) in elements(&body) {
        assert!(text.is_empty() || tag.contains(" data-i18n"), "{text:?}");
    }
    assert!(texts().len() > 5, "{:?}", texts());
}

#[test]
fn the_page_has_its_words_in_every_language_of_the_app_and_in_no_other() {
    let mut languages = languages();
    for language in Language::ALL {
        let boot = languages.remove(primary(language)).expect("the language");
        assert_eq!(boot.lang, language.tag());
        assert_eq!(boot.dir, language.direction());
        let words: BTreeSet<String> = boot.words.into_keys().collect();
        let wanted = match language {
            Language::English => BTreeSet::new(),
            _ => texts(),
        };
        assert_eq!(words, wanted, "{}", language.name());
    }
    assert_eq!(languages.into_keys().collect::<Vec<_>>(), [""; 0]);
}

#[test]
fn the_page_uses_the_same_texts_as_the_app() {
    for language in po::others() {
        let words = languages().remove(primary(language)).expect("it").words;
        let app = po::forms(language, "lidoff");
        let both = app
            .iter()
            .filter_map(|(text, forms)| Some((&forms[0], words.get(&text.one)?)));
        let mut seen = 0;
        for (in_app, on_page) in both {
            assert_eq!(in_app, on_page);
            seen += 1;
        }
        assert!(seen >= 3, "the banner's words are the app's, too");
    }
}

#[test]
fn without_scripts_every_language_is_shown() {
    let (_, rest) = PAGE
        .split_once("<noscript>")
        .expect("a word without script");
    let (without, _) = rest.split_once("</noscript>").expect("its end");
    for language in Language::ALL {
        let tag = format!("<p lang=\"{}\">", language.tag());
        assert!(without.contains(&tag), "{tag}");
    }
}
