//! The texts of the catalogs.

use std::fs;

use lidoff_testkit::repository;

use serde_json::Value;

use crate::po::Text;

/// What is no text: names of things within the catalog, classes, and designations
/// that are the same in every language. Whatever else is a string is read.
const NO_TEXT: [&str; 42] = [
    "$schema",
    "after_wait",
    "answer",
    "asked",
    "asks",
    "assumed",
    "at",
    "class",
    "clear",
    "consumable",
    "ease",
    "eased",
    "element",
    "face",
    "fastener",
    "fastening",
    "fitted",
    "format",
    "hazards",
    "id",
    "in-place",
    "inspect",
    "is",
    "moves_over",
    "number",
    "off",
    "option",
    "part",
    "plug",
    "put-back",
    "question",
    "redo",
    "reseat",
    "reuse",
    "revision",
    "rides_on",
    "service",
    "services",
    "signal",
    "size",
    "swap",
    "system",
];
const NO_TEXT_EITHER: [&str; 33] = [
    "disposal",
    "ended_by",
    "ends_limit",
    "fed_by",
    "flip",
    "head",
    "instead",
    "kit",
    "lasts",
    "locking",
    "may_be_live",
    "motion",
    "needs",
    "new",
    "old_or_new",
    "pattern",
    "point",
    "property_class",
    "reach",
    "refit_needs",
    "replaced",
    "replaces",
    "spare",
    "take-off",
    "thread",
    "tool",
    "undo",
    "unplug",
    "until",
    "when",
    "while-isolated",
    "while-live",
    "while-open",
];

/// Units of the catalogs that come with the app, by the names of their files.
pub fn units() -> Vec<String> {
    let folder = repository("catalogs");
    let mut units: Vec<String> = fs::read_dir(folder)
        .expect("the catalogs")
        .filter_map(|entry| {
            let name = entry
                .expect("an entry")
                .file_name()
                .into_string()
                .expect("a name");
            name.strip_suffix(".json").map(str::to_owned)
        })
        .collect();
    units.sort();
    units
}

/// The texts of a unit's catalog, in its order, each once.
pub fn texts(unit: &str) -> Vec<Text> {
    let path = repository(&format!("catalogs/{unit}.json"));
    let text = fs::read_to_string(path).expect("a catalog");
    let mut found = Vec::new();
    // Serde keeps no order of its own, so the keys come by the alphabet; that
    // will do.
    gather(
        &serde_json::from_str(&text).expect("JSON"),
        None,
        "",
        &mut found,
    );
    found
}

fn gather(value: &Value, key: Option<&str>, within: &str, found: &mut Vec<Text>) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                gather(value, Some(name), key.unwrap_or_default(), found);
            }
        }
        Value::Array(values) => {
            for value in values {
                gather(value, key, within, found);
            }
        }
        Value::String(text) => {
            let key = key.unwrap_or_default();
            // The kind of a unit is read, that of a fastener is one of a list.
            let is_listed = key == "kind" && within != "unit"
                || key == "isolate" && within == "on_failure"
                || within == "add";
            let text = Text {
                context: None,
                one: text.clone(),
                many: None,
            };
            if !NO_TEXT.contains(&key)
                && !NO_TEXT_EITHER.contains(&key)
                && !is_listed
                && (if MAY_BE_PRINTED.contains(&key) {
                    has_words(&text.one) || text.one.starts_with("of ")
                } else {
                    text.one.contains(char::is_lowercase)
                })
                && !found.contains(&text)
            {
                found.push(text);
            }
        }
        _ => {}
    }
}

/// Fields that often hold what is printed on the unit, or a unit of measurement.
const MAY_BE_PRINTED: [&str; 3] = ["cable", "port", "unit"];

/// Three lower-case letters on end: what has none is a designation ("2", "kHz", "USB").
fn has_words(text: &str) -> bool {
    let letters: Vec<char> = text.chars().collect();
    letters
        .windows(3)
        .any(|three| three.iter().all(|letter| letter.is_lowercase()))
}

/// Every value of a field, wherever it stands.
fn values<'a>(value: &'a Value, field: &str, found: &mut Vec<&'a str>) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                match value {
                    Value::String(text) if name == field => found.push(text),
                    _ => values(value, field, found),
                }
            }
        }
        Value::Array(all) => all.iter().for_each(|value| values(value, field, found)),
        _ => {}
    }
}

/// They are put behind a fastener's name as they stand, in every language.
#[test]
fn there_are_no_words_in_a_thread_or_in_the_size_of_a_drive() {
    for unit in units() {
        let path = repository(&format!("catalogs/{unit}.json"));
        let text = fs::read_to_string(path).expect("a catalog");
        let catalog = serde_json::from_str(&text).expect("JSON");
        let mut found = Vec::new();
        values(&catalog, "thread", &mut found);
        values(&catalog, "size", &mut found);
        assert!(found.len() > 10, "{unit}: {found:?}");
        let said: Vec<&str> = found.into_iter().filter(|text| has_words(text)).collect();
        assert_eq!(said, [""; 0], "{unit}");
    }
}

#[test]
fn what_a_technician_reads_is_found_and_names_of_things_are_not() {
    let texts: Vec<String> = texts("perch-22").into_iter().map(|text| text.one).collect();
    let has = |text: &str| texts.iter().any(|one| one == text);
    for read in [
        "Self-service lending kiosk",
        "Unlock the paper door",
        "small bright screw",
        "Cut-resistant gloves",
        "SCAN, blue sleeve",
        "of 10",
        "Fan",
        "NET to 1, PC to 2.",
    ] {
        assert!(has(read), "{read}");
    }
    for unread in ["paper-door", "screw", "off", "basic", "T8"] {
        assert!(!has(unread), "{unread}");
    }
}
