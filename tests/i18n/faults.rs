//! What is wrong with a catalog is told in the language of whoever has to mend it.

use lidoff_catalog::check::read;
use lidoff_i18n::{set_language, strip_soft_hyphens};

use crate::log::german;

const GOOD: &str = include_str!("../../src/catalog/tests/check/good.json");

/// What is told of the good catalog with one piece of its text changed.
fn told(piece: &str, changed: &str) -> Vec<String> {
    // Spoken already, where another test was first.
    set_language(german());
    assert!(GOOD.contains(piece), "{piece}");
    let faults = read("tern-5.json", &GOOD.replacen(piece, changed, 1)).expect_err("a fault");
    let words = faults.iter().map(ToString::to_string);
    words
        .map(|told| strip_soft_hyphens(&told).into_owned())
        .collect()
}

#[test]
fn an_unreadable_catalog_is_reported_in_german_with_its_field_names() {
    let told = told("\"redo\"", "\"reddo\"");
    let (what, mend) = told[0]
        .split_once(", erwartet ist eines von `")
        .expect("German");
    assert!(what.ends_with(": Das ist kein gültiges Katalog-JSON: unbekanntes Feld `reddo`"));
    assert!(mend.ends_with("`. War „redo“ gemeint?"), "{mend}");
}

#[test]
fn a_missing_comma_is_reported_in_german() {
    let told = told(
        "\"format\": \"lidoff-catalog/1\",",
        "\"format\": \"lidoff-catalog/1\"",
    );
    assert!(
        told[0].ends_with(
            "Das ist kein gültiges Katalog-JSON: `,` oder `}` fehlt. Kurz vor dieser Stelle nach \
             einem fehlenden Komma, Anführungszeichen oder einer Klammer suchen."
        ),
        "{told:?}"
    );
}

#[test]
fn a_fault_names_its_subject_and_place_in_german() {
    let told = told(
        "\"redo\": [\n       \"lid-screws\"",
        "\"redo\": [\n       \"lid-skrews\"",
    );
    assert_eq!(
        told[0],
        "tern-5.json, parts[0].take_off.back[0].redo[0] (Teil lid, Schritt lid-on): Befestigung \
         „lid-skrews“ gibt es nicht. War „lid-screws“ gemeint?"
    );
}
