//! Values that steps write down.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

fn with(records: Value) -> BrokenCatalog {
    BrokenCatalog::new().set("/hand_over/0/records", records)
}

#[test]
fn records_of_every_kind_are_good() {
    with(json!([
        {"id": "old", "text": "Serial number", "kind": "serial", "old_or_new": "old"},
        {"id": "new", "text": "Serial number", "kind": "serial", "pattern": "SN-##@*",
         "required": true, "old_or_new": {"new": "old"}},
        {"id": "hours", "text": "Hours", "kind": "counter"},
        {"id": "colour", "text": "Colour", "kind": {"choice": ["red", "blue"]}},
        {"id": "remark", "text": "Remark", "kind": "text"},
        {"id": "label", "text": "Label", "kind": "photo"},
    ]))
    .check()
    .nothing();
}

#[test]
fn a_record_has_words_an_id_of_its_own_and_an_old_record_that_exists() {
    let at = "hand_over[0].records[0]";
    let one = |change: &dyn Fn(&mut Value)| {
        let mut record = json!({"id": "a", "text": "Number", "kind": "serial"});
        change(&mut record);
        with(json!([record]))
    };
    let faults = one(&|record| record["text"] = json!(" ")).check();
    faults.only(Kind::EmptyText, &format!("{at}.text"));
    let faults = one(&|record| record["id"] = json!("a b")).check();
    faults.only(Kind::BadId, &format!("{at}.id"));
    let faults = one(&|record| record["old_or_new"] = json!({"new": "b"})).check();
    faults.only(Kind::UnknownId, &format!("{at}.old_or_new.new"));
    let twice = json!({"id": "a", "text": "Number", "kind": "serial"});
    let faults = with(json!([twice, twice])).check();
    faults.only(Kind::DuplicateId, "hand_over[0].records[1].id");
}

#[test]
fn a_pattern_has_many_values_and_not_all() {
    for (kind, pattern) in [
        (json!("serial"), "***"),
        (json!("serial"), ""),
        (json!("text"), "SN-1"),
        (json!("text"), " ##"),
        (json!("counter"), "##"),
        (json!("photo"), "##"),
    ] {
        let record = json!({"id": "a", "text": "Number", "kind": kind, "pattern": pattern});
        let faults = with(json!([record])).check();
        faults.only(Kind::BadPattern, "hand_over[0].records[0].pattern");
    }
}

#[test]
fn a_choice_has_at_least_two_different_values() {
    for choices in [json!([]), json!(["red"]), json!(["red", "blue", "red"])] {
        let record = json!({"id": "a", "text": "Colour", "kind": {"choice": choices}});
        let faults = with(json!([record])).check();
        faults.only(Kind::TooFewChoices, "hand_over[0].records[0].kind.choice");
    }
}
