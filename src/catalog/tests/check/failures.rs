//! What a failed reading means.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

const AT: &str = "hand_over[0].on_failure";

fn with(on_failure: Value) -> BrokenCatalog {
    BrokenCatalog::new()
        .set("/hand_over/0/reading", json!({"seen": "All is well"}))
        .set("/hand_over/0/on_failure", on_failure)
}

fn adjusting(change: impl FnOnce(&mut Value)) -> BrokenCatalog {
    let mut adjust = json!({"do": ["Turn the trimmer"], "at_most": 3, "expected": 0.5,
                            "elements": [{"element": "try"}]});
    change(&mut adjust);
    with(json!({ "adjust": adjust }))
}

#[test]
fn a_failed_reading_may_stop_adjust_or_suggest_a_task() {
    with(json!({"stop": "Wait."})).check().nothing();
    adjusting(|_| ()).check().nothing();
}

#[test]
fn only_a_reading_can_fail() {
    let faults = with(json!({"stop": "Wait."})).without("/hand_over/0/reading");
    faults.check().only(Kind::FailsWithoutReading, AT);
}

#[test]
fn what_a_failed_reading_names_exists() {
    let faults = with(json!({"isolate": "sun"})).check();
    faults.only(Kind::UnknownId, &format!("{AT}.isolate"));
    for field in ["replace", "reseat", "inspect", "serve"] {
        let faults = with(json!({"add": {field: "sun"}})).check();
        faults.only(Kind::UnknownId, &format!("{AT}.add.{field}"));
    }
}

#[test]
fn an_adjustment_says_what_to_do_and_how_often() {
    let faults = adjusting(|adjust| adjust["do"] = json!([])).check();
    faults.only(Kind::NothingThere, &format!("{AT}.adjust.do"));
    let faults = adjusting(|adjust| adjust["do"] = json!(["Turn", " "])).check();
    faults.only(Kind::EmptyText, &format!("{AT}.adjust.do[1]"));
    let faults = adjusting(|adjust| {
        adjust["at_most"] = json!(0);
        adjust["expected"] = json!(0);
    });
    faults
        .check()
        .only(Kind::BadNumber, &format!("{AT}.adjust.at_most"));
    for expected in [-0.1, 3.5] {
        let faults = adjusting(|adjust| adjust["expected"] = json!(expected)).check();
        faults.only(Kind::BadNumber, &format!("{AT}.adjust.expected"));
    }
    let faults = with(json!({"stop": " "})).check();
    faults.only(Kind::EmptyText, &format!("{AT}.stop"));
}
