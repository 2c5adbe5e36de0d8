//! Faces, fastenings and wells.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn a_screw_is_on_its_face() {
    let point = "/parts/0/fastenings/0/points/1/x";
    let faults = BrokenCatalog::new().set(point, json!(201)).check();
    faults.only(Kind::OffTheFace, "parts[0].fastenings[0].points[1]");
}

#[test]
fn a_screw_is_not_in_a_corner_that_the_outline_leaves_out() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/fastenings/0/points/3", json!({"x": 5, "y": 95}))
        .check();
    faults.only(Kind::OffTheFace, "parts[0].fastenings[0].points[3]");
}

#[test]
fn what_is_drawn_on_a_face_lies_on_it() {
    let places = [
        ("/faces/0/outline/1/x", json!(250), "faces[0].outline[1]"),
        (
            "/faces/0/features/0/shape/rect/w",
            json!(181),
            "faces[0].features[0].shape.rect",
        ),
        (
            "/faces/0/features/1/shape/circle/x",
            json!(195),
            "faces[0].features[1].shape.circle",
        ),
        (
            "/faces/0/features/2/shape/line/0/y",
            json!(-1),
            "faces[0].features[2].shape.line[0]",
        ),
    ];
    for (pointer, figure, path) in places {
        let faults = BrokenCatalog::new().set(pointer, figure).check();
        faults.has(Kind::OffTheFace, path);
    }
}

#[test]
fn points_are_on_a_face() {
    let faults = BrokenCatalog::new()
        .without("/parts/0/fastenings/0/face")
        .check();
    faults.only(Kind::PointsWithoutFace, "parts[0].fastenings[0].points");
}

#[test]
fn each_screw_has_its_point() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/fastenings/0/count", json!(5))
        .check();
    faults.only(Kind::PointsMiscounted, "parts[0].fastenings[0].points");
}

#[test]
fn a_tightening_order_names_each_point_once() {
    for order in [
        json!([1, 2, 3]),
        json!([1, 2, 2, 4]),
        json!([0, 1, 2, 3]),
        json!([1, 2, 3, 5]),
    ] {
        let faults = BrokenCatalog::new()
            .set("/parts/0/fastenings/0/tighten", order)
            .check();
        faults.only(Kind::BadTightening, "parts[0].fastenings[0].tighten");
    }
}

#[test]
fn a_captive_fastener_lies_in_no_well() {
    let faults = BrokenCatalog::new()
        .set("/parts/1/fastenings/0/well", json!(9))
        .check();
    faults.only(Kind::CaptiveInWell, "parts[1].fastenings[0].well");
}

#[test]
fn a_loose_fastener_has_a_well_to_lie_in() {
    let faults = BrokenCatalog::new()
        .without("/parts/0/fastenings/0/well")
        .check();
    faults.only(Kind::LooseWithoutWell, "parts[0].fastenings[0]");
}

#[test]
fn screws_of_two_lengths_never_lie_in_one_well() {
    let faults = BrokenCatalog::new()
        .set("/parts/3/fastenings/0/well", json!(1))
        .check();
    faults.has(Kind::MixedWell, "parts[3].fastenings[0].well");
}

#[test]
fn two_kinds_may_share_a_well_when_no_unit_has_both() {
    let share = |when| {
        BrokenCatalog::new()
            .set("/parts/3/fastenings/1/well", json!(2))
            .set("/parts/3/fastenings/0/when", when)
            .check()
    };
    share(json!({"fitted": "battery"})).nothing();
    share(json!({"fitted": "wall"})).only(Kind::MixedWell, "parts[3].fastenings[1].well");
}

#[test]
fn a_stated_torque_needs_a_tool_that_can_be_set_to_it() {
    let none = BrokenCatalog::new().without("/tools/0/torque").check();
    none.has(Kind::TorqueWithoutTool, "parts[0].take_off.back[0].tool");
    let low = BrokenCatalog::new()
        .set("/tools/0/torque/high_nm", json!(0.5))
        .check();
    low.has(Kind::TorqueWithoutTool, "parts[0].take_off.back[0].tool");
    let crossed = BrokenCatalog::new()
        .set("/tools/0/torque/low_nm", json!(9))
        .check();
    crossed.has(Kind::BadNumber, "tools[0].torque");
}
