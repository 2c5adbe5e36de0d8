//! Nothing is missing from a translation, and nothing is left over in it.

use std::collections::{BTreeMap, BTreeSet};

use crate::po::{self, Text};
use crate::{catalogs, source};

/// The texts of the code, each with the place where it is said first.
fn texts_of_the_code() -> BTreeMap<Text, String> {
    let mut texts = BTreeMap::new();
    for call in source::extract("src").calls {
        texts.entry(call.text).or_insert(call.place);
    }
    texts
}

/// What is missing, what is not translated, and what no longer used.
fn compare(wanted: &BTreeMap<Text, String>, there: &BTreeMap<Text, Vec<String>>) -> Vec<String> {
    let mut wrong = Vec::new();
    for (text, place) in wanted {
        match there.get(text) {
            None => wrong.push(format!("missing: {:?} ({place})", text.one)),
            Some(forms) if forms.iter().any(String::is_empty) || forms.is_empty() => {
                wrong.push(format!("not translated: {:?} ({place})", text.one));
            }
            Some(_) => {}
        }
    }
    for text in there.keys().filter(|text| !wanted.contains_key(text)) {
        wrong.push(format!("no longer used: {:?}", text.one));
    }
    wrong
}

fn none(wrong: Vec<String>, of: &str) {
    let many = wrong.len();
    assert!(
        wrong.is_empty(),
        "{many} in {of}; `make words`, then translate:\n{}",
        wrong.join("\n")
    );
}

#[test]
fn every_text_of_the_code_is_translated_and_no_translation_is_unused() {
    let wanted = texts_of_the_code();
    assert!(wanted.len() > 300, "the texts were found: {}", wanted.len());
    for language in po::others() {
        none(
            compare(&wanted, &po::forms(language, "lidoff")),
            language.name(),
        );
    }
}

#[test]
fn every_text_of_every_catalog_is_translated_and_no_translation_is_unused() {
    for unit in catalogs::units() {
        let wanted: BTreeMap<Text, String> = catalogs::texts(&unit)
            .into_iter()
            .map(|text| (text, unit.clone()))
            .collect();
        assert!(wanted.len() > 100, "the texts were found: {}", wanted.len());
        for language in po::others() {
            none(
                compare(&wanted, &po::forms(language, &unit)),
                language.name(),
            );
        }
    }
}

#[test]
fn missing_empty_and_unused_translations_are_told_apart() {
    let text = |one: &str| Text {
        context: None,
        one: one.into(),
        many: None,
    };
    let wanted = BTreeMap::from([(text("a"), "x.rs:1".into()), (text("b"), "x.rs:2".into())]);
    let there = BTreeMap::from([
        (text("b"), vec![String::new()]),
        (text("c"), vec!["C".into()]),
    ]);
    assert_eq!(
        compare(&wanted, &there),
        [
            "missing: \"a\" (x.rs:1)",
            "not translated: \"b\" (x.rs:2)",
            "no longer used: \"c\""
        ]
    );
}

/// The places in a text that are filled: names, numbers, and how many `{}`.
fn places(text: &str) -> BTreeSet<String> {
    let mut places = BTreeSet::new();
    let mut unnamed = 0;
    let whole = text.replace("{{", "").replace("}}", "");
    for piece in whole.split('{').skip(1) {
        let name = piece.split('}').next().unwrap_or_default().trim();
        if name.is_empty() {
            places.insert(unnamed.to_string());
            unnamed += 1;
        } else {
            places.insert(name.to_owned());
        }
    }
    places
}

#[test]
fn a_translation_begins_and_ends_with_a_space_where_the_text_does() {
    let edges = |text: &str| (text.starts_with(' '), text.ends_with(' '));
    for file in catalogs::units().into_iter().chain(["lidoff".to_owned()]) {
        for language in po::others() {
            for (text, forms) in po::forms(language, &file) {
                for form in forms {
                    assert_eq!(edges(&form), edges(&text.one), "{file}, {:?}", text.one);
                }
            }
        }
    }
}

#[test]
fn a_translation_has_the_same_placeholders_and_every_plural_form() {
    let files = catalogs::units().into_iter().chain(["lidoff".to_owned()]);
    for file in files {
        for language in po::others() {
            let wanted = language.forms().starts_with("nplurals=2").then_some(2);
            for (text, forms) in po::forms(language, &file) {
                let said = |text: &Text| format!("{file}, {:?}", text.one);
                if let Some(many) = &text.many {
                    assert_eq!(Some(forms.len()), wanted, "forms of {}", said(&text));
                    // "one part" may leave the number out; the others may not.
                    let all: BTreeSet<_> = places(many);
                    for form in forms.iter().filter(|form| !form.is_empty()) {
                        let mut left_out =
                            all.difference(&places(form)).cloned().collect::<Vec<_>>();
                        left_out.retain(|name| name != "n");
                        assert_eq!(left_out, [""; 0], "not filled in {}", said(&text));
                        assert!(
                            places(form).is_subset(&all),
                            "filled by nobody in {}",
                            said(&text)
                        );
                    }
                    let last = forms.last().map(String::as_str).unwrap_or_default();
                    assert!(
                        last.is_empty() || !all.contains("n") || places(last).contains("n"),
                        "the number is lost in {}",
                        said(&text)
                    );
                } else if file == "lidoff" && !forms[0].is_empty() {
                    assert_eq!(places(&forms[0]), places(&text.one), "{}", said(&text));
                }
            }
        }
    }
}

#[test]
fn every_placeholder_of_a_text_is_filled() {
    for call in source::extract("src").calls {
        for text in [Some(&call.text.one), call.text.many.as_ref()]
            .into_iter()
            .flatten()
        {
            for place in places(text) {
                let filled = match place.parse::<usize>() {
                    Ok(nth) => nth < call.arguments.len(),
                    Err(_) => {
                        (place == "n" && call.text.many.is_some())
                            || call.arguments.iter().flatten().any(|name| *name == place)
                    }
                };
                assert!(
                    filled,
                    "{}: nobody fills {{{place}}} in {text:?}",
                    call.place
                );
            }
        }
    }
}

/// Whole numbers in a text: "2.5" and "2,5" are both 2 and 5.
fn figures(text: &str) -> BTreeSet<&str> {
    text.split(|letter: char| !letter.is_ascii_digit())
        .filter(|figure| !figure.is_empty())
        .collect()
}

/// What is printed on the unit: two capitals or more on end.
fn printed(text: &str) -> BTreeSet<&str> {
    text.split(|letter: char| !letter.is_ascii_alphanumeric())
        .filter(|word| {
            let capital = |letter: char| letter.is_ascii_uppercase() || letter.is_ascii_digit();
            word.len() > 1 && word.chars().all(capital) && word.contains(char::is_alphabetic)
        })
        .collect()
}

#[test]
fn figures_and_what_is_printed_on_a_unit_are_the_same_in_every_language() {
    // A unit of measure may be written otherwise.
    let measure = |text: &str| text == "rpm";
    for unit in catalogs::units() {
        for language in po::others() {
            let texts = po::forms(language, &unit).into_iter();
            for (text, forms) in texts.filter(|(text, _)| !measure(&text.one)) {
                let (english, other) = (text.one.as_str(), forms[0].as_str());
                assert_eq!(figures(english), figures(other), "{english:?}: {other:?}");
                let lost: Vec<_> = printed(english)
                    .difference(&printed(other))
                    .copied()
                    .collect();
                assert_eq!(lost, [""; 0], "{english:?}: {other:?}");
            }
        }
    }
}
