//! What a part can do, and what is asked of it.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn parts_do_not_ride_on_each_other_in_a_circle() {
    let faults = BrokenCatalog::new()
        .set("/parts/3/rides_on", json!("module"))
        .check();
    let fault = faults.has(Kind::RidesInCircle, "parts[3].rides_on");
    assert!(
        fault.problem.contains("tray on module on board on tray"),
        "{fault}"
    );
    let faults = BrokenCatalog::new()
        .set("/parts/0/rides_on", json!("lid"))
        .check();
    faults.has(Kind::RidesInCircle, "parts[0].rides_on");
}

#[test]
fn a_part_that_rides_on_nothing_has_no_way_off_on_the_bench() {
    let faults = BrokenCatalog::new().without("/parts/4/rides_on").check();
    faults.has(Kind::BenchWithoutCarrier, "parts[4].bench_off");
}

#[test]
fn a_part_can_move() {
    let faults = BrokenCatalog::new()
        .add("/parts", json!({"id": "foot", "name": "Foot"}))
        .check();
    faults.only(Kind::NeverMoves, "parts[6]");
}

#[test]
fn a_part_that_comes_off_is_put_back() {
    let faults = BrokenCatalog::new()
        .set("/parts/5/take_off/back", json!([]))
        .check();
    faults.only(Kind::NoWayBack, "parts[5].take_off.back");
}

#[test]
fn a_part_that_is_put_back_comes_off() {
    let faults = BrokenCatalog::new()
        .set("/parts/5/bench_off/out", json!([]))
        .check();
    faults.only(Kind::NoWayOut, "parts[5].bench_off.out");
}

#[test]
fn a_part_that_never_comes_off_is_not_replaced() {
    let faults = BrokenCatalog::new()
        .set("/parts/2/swap", json!({"steps": []}))
        .check();
    faults.only(Kind::TaskOutOfReach, "parts[2].swap");
}

#[test]
fn a_part_is_reseated_in_a_state_that_it_reaches() {
    let faults = BrokenCatalog::new()
        .set("/parts/5/reseat/at", json!("eased"))
        .check();
    faults.only(Kind::TaskOutOfReach, "parts[5].reseat.at");
    let faults = BrokenCatalog::new()
        .set("/parts/2/reseat", json!({"at": "off", "steps": []}))
        .check();
    faults.only(Kind::TaskOutOfReach, "parts[2].reseat.at");
}

#[test]
fn only_what_rides_on_a_part_moves_over_to_the_new_one() {
    let faults = BrokenCatalog::new()
        .set("/parts/4/swap/moves_over/0", json!("fan"))
        .check();
    faults.only(Kind::CannotMoveOver, "parts[4].swap.moves_over[0]");
}

#[test]
fn only_what_comes_off_a_part_moves_over_to_the_new_one() {
    let faults = BrokenCatalog::new()
        .add("/parts", json!({"id": "clip", "name": "Clip", "rides_on": "board",
            "ease": {
                "out": [{"id": "clip-aside", "do": "Swing it.", "elements": [{"element": "look"}]}],
                "back": [{"id": "clip-home", "do": "Swing it.", "elements": [{"element": "look"}]}]}}))
        .add("/parts/4/swap/moves_over", json!("clip"))
        .check();
    faults.only(Kind::CannotMoveOver, "parts[4].swap.moves_over[1]");
}

#[test]
fn a_part_does_not_depend_on_itself() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/1/take_off/needs",
            json!({"all": [{"off": "lid"}, {"eased": "fan"}]}),
        )
        .check();
    faults.only(Kind::NeedsItself, "parts[1].take_off.needs.all[1].eased");
    let faults = BrokenCatalog::new()
        .set("/parts/1/ease/refit_needs", json!({"in-place": "fan"}))
        .check();
    faults.only(Kind::NeedsItself, "parts[1].ease.refit_needs.in-place");
}

#[test]
fn a_part_that_is_never_eased_is_asked_to_be_off() {
    let faults = BrokenCatalog::new()
        .set("/parts/1/ease/needs", json!({"eased": "lid"}))
        .check();
    let fault = faults.only(Kind::AtomNeverTrue, "parts[1].ease.needs.eased");
    assert!(fault.fix.contains("off"), "{fault}");
}

#[test]
fn a_part_that_is_only_eased_is_not_asked_to_be_off() {
    for (atom, path) in [("off", "then.off"), ("clear", "then.clear")] {
        let faults = BrokenCatalog::new()
            .set(
                "/parts/3/take_off/needs/all/2/when/then",
                json!({atom: "panel"}),
            )
            .check();
        let path = format!("parts[3].take_off.needs.all[2].when.{path}");
        faults.only(Kind::AtomNeverTrue, &path);
    }
}

#[test]
fn a_rider_in_the_unit_cannot_need_its_carrier_off() {
    let faults = BrokenCatalog::new()
        .set("/parts/5/take_off/needs", json!({"off": "tray"}))
        .check();
    let fault = faults.only(Kind::AtomNeverTrue, "parts[5].take_off.needs.off");
    assert!(fault.fix.contains("bench_off"), "{fault}");
}

#[test]
fn only_a_part_that_comes_off_is_left_out() {
    let steps = json!([{"id": "left", "do": "Label the unit", "elements": [{"element": "note"}]}]);
    BrokenCatalog::new()
        .set("/parts/0/leave_out", steps.clone())
        .check()
        .nothing();
    let faults = BrokenCatalog::new()
        .set("/parts/2/leave_out", steps)
        .check();
    faults.only(Kind::TaskOutOfReach, "parts[2].leave_out");
}

#[test]
fn nothing_is_one_of_several_by_itself() {
    let one = BrokenCatalog::new().set("/parts/0/like", json!("cover"));
    let faults = one.check();
    faults.only(Kind::AloneOfItsKind, "parts[0].like");
    let two = BrokenCatalog::new().set("/parts/0/like", json!("cover"));
    two.set("/parts/2/like", json!("cover")).check().nothing();
}
