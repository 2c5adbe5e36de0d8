//! Parts that stand in each other's way.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

const TRAY: &str = "/parts/3/take_off/needs";
const LID: &str = "/parts/0/take_off/needs";

#[test]
fn parts_that_need_each_other_off_are_reported_as_a_loop() {
    let faults = BrokenCatalog::new()
        .set(LID, json!({"off": "tray"}))
        .set(TRAY, json!({"off": "fan"}))
        .check();
    let fault = faults.only(Kind::NeverReached, "parts[0].take_off.needs");
    assert!(
        fault
            .problem
            .contains("lid needs tray off → tray needs fan off → easing fan needs lid off"),
        "{fault}"
    );
    // What can be got at only past the loop is named with it, once.
    assert!(
        fault.problem.contains("Also affected: board, module"),
        "{fault}"
    );
    assert_eq!(fault.subject, "part lid");
}

#[test]
fn a_loop_with_another_route_open_is_accepted() {
    BrokenCatalog::new()
        .set(LID, json!({"any": [{"off": "tray"}, {"eased": "panel"}]}))
        .check()
        .nothing();
    // The panel is only there on the wall; at a desk the requirement is met.
    let faults = BrokenCatalog::new()
        .set(
            LID,
            json!({"any": [{"off": "tray"}, {"all": [{"off": "tray"}, {"eased": "panel"}]}]}),
        )
        .check();
    faults.only(Kind::NeverReached, "parts[0].take_off.needs");
}

#[test]
fn a_loop_on_some_units_only_is_a_warning_that_names_such_a_unit() {
    let faults = BrokenCatalog::new()
        .set(
            LID,
            json!({"when": {"condition": {"fitted": "wall"}, "then": {"off": "tray"}}}),
        )
        .check();
    let fault = faults.only(Kind::SometimesNotReached, "parts[0].take_off.needs");
    assert!(!fault.is_error());
    assert!(fault.problem.contains("a unit with wall fitted"), "{fault}");
}

#[test]
fn a_loop_that_depends_on_an_answer_names_the_answer() {
    let faults = BrokenCatalog::new()
        .set(LID, json!({"when": {
            "condition": {"all": [{"fitted": "battery"}, {"answer": {"question": "revision", "is": "b"}}]},
            "then": {"off": "tray"}}}))
        .check();
    let fault = faults.only(Kind::SometimesNotReached, "parts[0].take_off.needs");
    assert!(
        fault
            .problem
            .contains("battery fitted and revision answered “b”"),
        "{fault}"
    );
}

#[test]
fn a_part_that_the_unit_lacks_blocks_no_other_part() {
    // The panel exists on the wall only, and there it waits for the lid.
    BrokenCatalog::new()
        .set("/parts/2/ease/needs", json!({"off": "lid"}))
        .check()
        .nothing();
    let faults = BrokenCatalog::new()
        .set("/parts/2/ease/needs", json!({"off": "lid"}))
        .set(LID, json!({"eased": "panel"}))
        .check();
    // At a desk the lid comes off; the panel, where it is, never eases.
    faults.has(Kind::NeverReached, "parts[0].take_off.needs");
}

#[test]
fn a_rider_counts_as_off_when_its_carrier_is_off() {
    BrokenCatalog::new()
        .add("/parts", simple("shelf", json!({"off": "board"})))
        .check()
        .nothing();
    // But it has not been taken off by itself until it is taken off on the bench.
    let faults = BrokenCatalog::new()
        .add("/parts", simple("shelf", json!({"clear": "board"})))
        .set("/parts/4/bench_off/needs", json!({"off": "shelf"}))
        .check();
    faults.only(Kind::NeverReached, "parts[4].bench_off.needs");
}

#[test]
fn work_on_the_bench_waits_for_the_carrier() {
    let faults = BrokenCatalog::new()
        .set(TRAY, json!({"clear": "board"}))
        .check();
    let fault = faults.only(Kind::NeverReached, "parts[3].take_off.needs");
    assert!(
        fault
            .problem
            .contains("tray needs board taken off by itself → board on the bench needs tray off"),
        "{fault}"
    );
}

#[test]
fn a_rider_in_the_unit_cannot_need_off_what_leaves_with_its_carrier() {
    let faults = BrokenCatalog::new()
        .add("/parts", json!({"id": "clip", "name": "Clip", "rides_on": "tray",
            "ease": {"out": [step("clip-aside")], "back": [step("clip-home")]}}))
        .add("/parts", json!({"id": "strap", "name": "Strap", "rides_on": "tray",
            "take_off": {"needs": {"off": "clip"}, "out": [step("strap-off")], "back": [step("strap-on")]}}))
        .check();
    faults.only(Kind::NeverReached, "parts[7].take_off.needs");
}

#[test]
fn parts_that_each_go_back_only_while_the_other_is_open_never_close() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/refit_needs", json!({"off": "tray"}))
        .check();
    let fault = faults.only(Kind::NeverBack, "parts[0].take_off.refit_needs");
    assert!(fault.problem.contains("lid needs tray off"), "{fault}");
}

#[test]
fn parts_that_each_go_back_only_once_the_other_is_in_place_never_close() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/refit_needs", json!({"in-place": "tray"}))
        .check();
    faults.nothing();
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/refit_needs", json!({"in-place": "tray"}))
        .set("/parts/3/take_off/refit_needs", json!({"in-place": "lid"}))
        .check();
    let fault = faults.only(Kind::NeverBack, "parts[0].take_off.refit_needs");
    assert!(
        fault
            .problem
            .contains("lid needs tray in place → tray needs lid in place"),
        "{fault}"
    );
}

#[test]
fn a_way_back_that_is_blocked_on_some_units_only_is_a_warning() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/0/take_off/refit_needs",
            json!({"when": {"condition": {"fitted": "battery"}, "then": {"off": "tray"}}}),
        )
        .check();
    let fault = faults.only(Kind::SometimesNotBack, "parts[0].take_off.refit_needs");
    assert!(fault.problem.contains("battery fitted"), "{fault}");
}

fn step(id: &str) -> Value {
    json!({"id": id, "do": "Do it.", "elements": [{"element": "look"}]})
}

fn simple(id: &str, needs: Value) -> Value {
    let (off, on) = (step(&format!("{id}-off")), step(&format!("{id}-on")));
    json!({"id": id, "name": id, "take_off": {"needs": needs, "out": [off], "back": [on]}})
}
