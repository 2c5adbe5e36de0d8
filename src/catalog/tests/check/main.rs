//! What the checks say of a catalog with one thing wrong.
#![cfg(not(target_arch = "wasm32"))]

mod balance;
mod conditions;
mod drawings;
mod failures;
mod good;
mod hardware;
mod ids;
mod parse;
mod parts;
mod reach;
mod records;
mod services;
mod survives;
mod texts;
mod things;
mod times;
mod unused;

use good::BrokenCatalog;
use lidoff_catalog::check::{FaultKind, examine_text};

#[test]
fn the_good_catalog_has_nothing_wrong_with_it() {
    BrokenCatalog::new().check().nothing();
}

#[test]
fn the_catalogs_that_come_with_the_app_have_nothing_wrong_with_them() {
    let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../catalogs");
    let mut seen = 0;
    for entry in std::fs::read_dir(folder).expect("the folder of catalogs") {
        let file = entry.expect("an entry").path();
        if file.extension().is_none_or(|ending| ending != "json") {
            continue;
        }
        let json = std::fs::read_to_string(&file).expect("a catalog");
        match examine_text(&file.display().to_string(), &json) {
            Ok(checked) => assert!(checked.warnings.is_empty(), "{}", checked.warnings),
            Err(faults) => panic!("{faults}"),
        }
        seen += 1;
    }
    assert!(seen > 0, "there is no catalog in {folder}");
}

#[test]
fn every_kind_of_fault_has_a_test_that_provokes_it() {
    let tests = [
        include_str!("balance.rs"),
        include_str!("conditions.rs"),
        include_str!("drawings.rs"),
        include_str!("failures.rs"),
        include_str!("hardware.rs"),
        include_str!("ids.rs"),
        include_str!("parts.rs"),
        include_str!("reach.rs"),
        include_str!("records.rs"),
        include_str!("services.rs"),
        include_str!("parse.rs"),
        include_str!("times.rs"),
        include_str!("unused.rs"),
        include_str!("texts.rs"),
        include_str!("things.rs"),
    ];
    for kind in FaultKind::ALL {
        // Rustfmt may break the line behind the bracket.
        let said = format!("Kind::{kind:?},");
        let provoked = tests.iter().any(|test| test.contains(&said));
        assert!(provoked, "{kind:?} is told by no test");
    }
}
