//! What is undone is done up again.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn a_screw_undone_on_the_way_out_is_refitted_on_the_way_back() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/back/0/redo", json!(["lid-seal"]))
        .check();
    faults.only(Kind::LeftUndone, "parts[0].take_off.out[0].undo[0]");
}

#[test]
fn a_screw_that_was_never_undone_is_not_refitted() {
    let faults = BrokenCatalog::new()
        .set("/parts/1/take_off/back/0/redo", json!(["lid-screws"]))
        .check();
    faults.has(Kind::DoneUpOnly, "parts[1].take_off.back[0].redo[0]");
}

#[test]
fn a_screw_undone_on_some_units_only_is_refitted_on_those() {
    let battery = json!({"fitted": "battery"});
    // Undone on every unit, done up only where there is a battery.
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/back/0/when", battery.clone())
        .check();
    faults.has(Kind::LeftUndone, "parts[0].take_off.out[0].undo[0]");
    // Undone only where it is done up.
    BrokenCatalog::new()
        .set("/parts/0/take_off/back/0/when", battery.clone())
        .set("/parts/0/take_off/out/0/when", battery)
        .check()
        .nothing();
}

#[test]
fn a_screw_that_was_found_loose_may_stay_loose_but_not_one_that_was_tight() {
    let answer = |is| json!({"answer": {"question": "strut", "is": is}});
    let faults = BrokenCatalog::new()
        .set("/parts/3/take_off/back/0/when", answer("loose"))
        .check();
    let fault = faults.only(Kind::LeftUndone, "parts[3].take_off.out[1].undo[0]");
    assert!(
        fault.problem.contains("the unit with its usual options"),
        "{fault}"
    );
}

#[test]
fn a_cable_that_is_unplugged_is_plugged_in_again() {
    let faults = BrokenCatalog::new()
        .without("/parts/1/take_off/back/0/plug")
        .check();
    faults.only(Kind::LeftUndone, "parts[1].take_off.out[0].unplug[0]");
}

#[test]
fn a_cable_that_was_not_unplugged_is_not_plugged_in() {
    let faults = BrokenCatalog::new()
        .set("/parts/1/ease/back/0/plug", json!(["fan-lead"]))
        .check();
    faults.only(Kind::DoneUpOnly, "parts[1].ease.back[0].plug[0]");
}

#[test]
fn the_mains_lead_is_pulled_to_make_safe_and_plugged_to_prove() {
    let faults = BrokenCatalog::new().without("/prove/0/plug").check();
    faults.only(Kind::LeftUndone, "make_safe[0].unplug[0]");
}

#[test]
fn a_screw_is_undone_once_on_the_way_out() {
    let faults = BrokenCatalog::new()
        .set("/parts/3/take_off/out/2/undo", json!(["tray-screws"]))
        .check();
    faults.only(Kind::UndoneTwice, "parts[3].take_off.out[2].undo[0]");
}

#[test]
fn a_screw_undone_to_ease_a_part_is_not_undone_again_to_take_it_off() {
    let faults = BrokenCatalog::new()
        .set("/parts/1/take_off/out/0/undo", json!(["fan-catch"]))
        .set("/parts/1/take_off/back/0/redo", json!(["fan-catch"]))
        .check();
    faults.only(Kind::UndoneTwice, "parts[1].take_off.out[0].undo[0]");
}

#[test]
fn a_fastening_that_no_step_undoes_is_reported() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/out/0/undo", json!(["lid-screws"]))
        .set("/parts/0/take_off/back/0/redo", json!(["lid-screws"]))
        .check();
    faults.only(Kind::NeverUndone, "parts[0].fastenings[1]");
}
