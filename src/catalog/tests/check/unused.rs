//! What nothing depends on.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

#[test]
fn an_unused_entry_is_a_warning_and_the_catalog_can_be_used() {
    let things = [
        (
            "tools",
            json!({"id": "saw", "name": "Saw", "class": "basic"}),
        ),
        (
            "fasteners",
            json!({"id": "nail", "name": "Nail", "kind": "clip", "reuse": "neither"}),
        ),
        (
            "consumables",
            json!({"id": "tape", "name": "Tape", "unit": "cm"}),
        ),
        (
            "spares",
            json!({"id": "new-fan", "name": "Fan", "number": "TN-1"}),
        ),
        (
            "hazards",
            json!({"id": "hot", "class": "heat", "signal": "caution", "text": "Hot."}),
        ),
        ("options", json!({"id": "scanner", "name": "Scanner"})),
        (
            "questions",
            json!({"id": "dust", "text": "Dusty?", "asked": "before", "assumed": "no",
                "answers": [{"id": "no", "text": "No"}, {"id": "yes", "text": "Yes"}]}),
        ),
    ];
    for (list, thing) in things {
        let good: Value = serde_json::from_str(crate::good::TEXT).expect("JSON");
        let nth = good[list].as_array().map_or(0, Vec::len);
        let faults = BrokenCatalog::new().add(&format!("/{list}"), thing).check();
        let fault = faults.only(Kind::Unused, &format!("{list}[{nth}]"));
        assert!(!fault.is_error());
    }
}

#[test]
fn a_cable_that_no_step_unplugs_is_reported() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/3/connections",
            json!([{"id": "earth", "cable": "E", "port": "PE"}]),
        )
        .check();
    faults.only(Kind::Unused, "parts[3].connections[0]");
}

#[test]
fn the_remaining_option_of_a_group_counts_as_used() {
    // No condition names the desk stand; that the wall bracket is named is enough.
    assert!(!crate::good::TEXT.contains("\"fitted\": \"desk\""));
    BrokenCatalog::new().check().nothing();
}
