//! No text reaches a screen, or an ear, without `tr!`.

use crate::source::{self, Loose};

/// Where texts for the technician are made.
const READ: [&str; 12] = [
    "src/app-core",
    "src/catalog/check",
    "src/catalog/setup.rs",
    "src/estimate",
    "src/i18n",
    "src/job",
    "src/planner/explanation",
    "src/planner/infeasibility",
    "src/planner/refusal_messages.rs",
    "src/report/desk/compare.rs",
    "src/report/exchange/report.rs",
    "src/web",
];

/// Attributes that are read out or shown.
const SHOWN: [&str; 8] = [
    "alt",
    "aria-description",
    "aria-label",
    "aria-roledescription",
    "aria-valuetext",
    "label",
    "placeholder",
    "title",
];

/// Attributes that never are.
const NOT_SHOWN: [&str; 23] = [
    "aria-controls",
    "aria-keyshortcuts",
    "aria-labelledby",
    "aria-live",
    "autocomplete",
    "class",
    "css",
    "d",
    "fill",
    "href",
    "id",
    "inputmode",
    "name",
    "points",
    "preserveAspectRatio",
    "rel",
    "role",
    "stroke",
    "transform",
    "type",
    "viewBox",
    "style",
    "describedby",
];

/// Symbols of units and names, which are the same in every language.
const SAME: [&str; 20] = [
    "Lidoff",
    "CSV",
    "JSON",
    "MB",
    "kB",
    "N",
    "h",
    "in",
    "lbf",
    "lidoff",
    "m",
    "min",
    "mm",
    "ms",
    "n",
    "s",
    "x",
    "M",
    "TM",
    "lidoff-words",
];

/// What is known to be read by nobody, and why: (end of the file's name, text).
const KNOWN: [(&str, &str, &str); 27] = [
    ("step/done.rs", ".hazard button:not(.back)", "for CSS"),
    ("step/done.rs", ".step fieldset.sheet", "for CSS"),
    ("step/done.rs", ".step form:has(button)", "for CSS"),
    ("step/done.rs", "label.boxed input:enabled", "for CSS"),
    ("service/gzip.rs", "Response", "a class of the browser"),
    (
        "web/main.rs",
        "This is the browser app. `make serve` builds and opens it.",
        "for a native run",
    ),
    ("web/navigate.rs", "main section.hazard, main h1", "for CSS"),
    ("check/parse.rs", " at line ", "the JSON reader's own"),
    (
        "check/parse.rs",
        ", expected one of ",
        "the JSON reader's own",
    ),
    ("step/done.rs", "Enter", "the name of a key"),
    ("profile/card.rs", "Escape", "the name of a key"),
    ("widgets/hazard.rs", "hazard notice", "for CSS"),
    ("widgets/hazard.rs", "hazard caution", "for CSS"),
    (
        "web/language.rs",
        "The words of this language ({}) could not be had: {why}. Here is English.",
        "there are no words then",
    ),
    ("web/service/fetch.rs", "no answer", "said with it"),
    (
        "i18n/translations.rs",
        "this is not a translation file",
        "said with it",
    ),
    (
        "i18n/translations.rs",
        "these translations are of another language",
        "said with it",
    ),
    (
        "i18n/translations.rs",
        "the keys cannot be read",
        "said with it",
    ),
    (
        "i18n/translations.rs",
        "the file has fewer texts than keys",
        "said with it",
    ),
    (
        "i18n/translations.rs",
        "{what}; rebuild the app",
        "said with it",
    ),
    (
        "i18n/language.rs",
        "English",
        "a language calls itself by its own name",
    ),
    (
        "i18n/language.rs",
        "Deutsch",
        "a language calls itself by its own name",
    ),
    (
        "i18n/language.rs",
        "nplurals=2; plural=(n != 1);",
        "for files",
    ),
    (
        "estimate/handbook.rs",
        "Yang and El-Haik 2003, Table 10.5",
        "a source, and on the command line alone",
    ),
    (
        "estimate/handbook.rs",
        "Open Mech. Eng. J. 10 (2016) 173, Tables 3–4",
        "a source, and on the command line alone",
    ),
    (
        "estimate/handbook.rs",
        "common practice, no source",
        "a source, and on the command line alone",
    ),
    ("web/words.rs", "Lidoff", "a name"),
];

fn words(text: &str) -> Vec<String> {
    let mut plain = String::new();
    let mut depth = 0;
    for letter in text.chars() {
        match letter {
            '{' => depth += 1,
            '}' => {
                depth -= 1;
                plain.push('·');
            }
            _ if depth > 0 => {}
            _ => plain.push(letter),
        }
    }
    plain
        .split(|letter: char| !letter.is_alphabetic())
        .filter(|word| !word.is_empty() && !SAME.contains(word))
        .map(str::to_owned)
        .collect()
}

/// Whether people may read it: between tags, in an attribute that is shown, two
/// words beside each other, or one with a capital.
fn is_read(one: &Loose) -> bool {
    let words = words(&one.text);
    if words.is_empty() {
        return false;
    }
    match &one.attribute {
        Some(name) if SHOWN.contains(&name.as_str()) => return true,
        Some(name) if NOT_SHOWN.contains(&name.as_str()) => return false,
        _ => {}
    }
    let beside = |text: &str| {
        let letters: Vec<char> = text.chars().collect();
        letters.windows(3).any(|three| {
            matches!(three, [before, ' ', after]
                if (before.is_alphabetic() || ",.:;“”!?".contains(*before)) && after.is_alphabetic())
        })
    };
    let first = one.text.chars().next().unwrap_or(' ');
    let capital = words.len() == 1
        && first.is_uppercase()
        && one
            .text
            .chars()
            .skip(1)
            .all(|letter| letter.is_lowercase() || ".?:!".contains(letter))
        && one.text.chars().count() > 2;
    one.in_view || (words.len() > 1 && beside(&one.text)) || capital
}

/// What is read and bypasses `tr!`, with its place.
fn bypassing() -> Vec<String> {
    let mut wrong = Vec::new();
    for folder in READ {
        for one in source::extract(folder).loose {
            let known = KNOWN.iter().any(|(file, text, _)| {
                let of = one.place.split(':').next().unwrap_or_default();
                of.ends_with(file) && *text == one.text
            });
            if is_read(&one) && !known {
                wrong.push(format!("{}: {:?}", one.place, one.text));
            }
        }
    }
    wrong
}

#[test]
fn every_text_that_people_read_goes_through_tr() {
    let wrong = bypassing();
    assert!(
        wrong.is_empty(),
        "{} texts bypass tr!; put them into tr! or tr_noop!, or say in KNOWN why not:\n{}",
        wrong.len(),
        wrong.join("\n")
    );
}

/// The library's own macro asks a register that the app does not fill.
#[test]
fn every_tr_is_the_macro_of_the_i18n_crate() {
    for path in source::files("src") {
        let text = std::fs::read_to_string(&path).expect("a source");
        let is_ours = path.ends_with("src/i18n/lib.rs");
        assert!(
            is_ours || !text.contains("use tr::") && !text.contains("tr::tr!"),
            "{}: `use lidoff_i18n::tr` instead",
            path.display()
        );
    }
}

#[test]
fn a_text_that_bypasses_tr_is_detected_and_other_strings_are_not() {
    let mut said = source::ExtractedTexts::default();
    let source = r#"
        fn shown() {
            view! { <p class="big bold" aria-label="Time" title="TM-0001">"Done "{a}" · "{b}</p> };
            go("a text of words"); go("Back"); go("main"); go("{} min, {x}"); go("job/id");
        }
    "#;
    source::read("x.rs", source, &mut said);
    let read: Vec<_> = said.loose.iter().filter(|one| is_read(one)).collect();
    let texts: Vec<_> = read.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(texts, ["Time", "Done ", "a text of words", "Back"]);
}
