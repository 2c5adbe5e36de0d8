//! What the drawings leave out.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn fasteners_on_a_face_without_points_are_reported() {
    let faults = BrokenCatalog::new()
        .without("/parts/0/fastenings/0/points")
        .without("/parts/0/fastenings/0/tighten")
        .check();
    let fault = faults.only(Kind::NowhereOnFace, "parts[0].fastenings[0].points");
    assert!(!fault.is_error());
}

#[test]
fn a_part_that_its_face_does_not_show_is_reported_once() {
    let faults = BrokenCatalog::new()
        .without("/faces/0/features/0/part")
        .check();
    let fault = faults.only(Kind::NotDrawn, "parts[0].take_off.out[0].face");
    assert!(!fault.is_error());
}

#[test]
fn a_face_may_lie_on_another_face_that_exists() {
    let flip = |face: &str| json!({"face": face, "flip": "left-right"});
    BrokenCatalog::new()
        .set("/faces/1/opposite", flip("top"))
        .check()
        .nothing();
    let faults = BrokenCatalog::new()
        .set("/faces/1/opposite", flip("lid"))
        .check();
    faults.only(Kind::UnknownId, "faces[1].opposite.face");
}

#[test]
fn a_face_that_lies_on_itself_or_nowhere_is_refused() {
    let faults = BrokenCatalog::new()
        .set(
            "/faces/1/opposite",
            json!({"face": "bottom", "flip": "left-right"}),
        )
        .check();
    faults.only(Kind::BadOpposite, "faces[1].opposite");
}
