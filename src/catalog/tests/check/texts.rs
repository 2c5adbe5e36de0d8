//! Words, signal words and plain figures.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn no_text_for_the_technician_is_empty() {
    let places = [
        ("/unit/safety", "unit.safety"),
        ("/faces/0/turn", "faces[0].turn"),
        ("/faces/0/features/0/label", "faces[0].features[0].label"),
        ("/tools/0/name", "tools[0].name"),
        ("/fasteners/0/drive/size", "fasteners[0].drive.size"),
        ("/consumables/0/unit", "consumables[0].unit"),
        ("/spares/0/number", "spares[0].number"),
        ("/options/1/name", "options[1].name"),
        ("/questions/0/text", "questions[0].text"),
        (
            "/questions/0/answers/0/text",
            "questions[0].answers[0].text",
        ),
        ("/hazards/0/text", "hazards[0].text"),
        (
            "/hazards/0/demands/0/isolate",
            "hazards[0].demands[0].isolate",
        ),
        ("/parts/0/name", "parts[0].name"),
        ("/parts/0/about", "parts[0].about"),
        (
            "/parts/1/connections/0/port",
            "parts[1].connections[0].port",
        ),
        (
            "/parts/1/connections/0/unseen_swap",
            "parts[1].connections[0].unseen_swap",
        ),
        ("/parts/0/take_off/out/0/do", "parts[0].take_off.out[0].do"),
        (
            "/parts/0/take_off/out/0/how",
            "parts[0].take_off.out[0].how",
        ),
        (
            "/parts/4/swap/hand_backs/0/name",
            "parts[4].swap.hand_backs[0].name",
        ),
        (
            "/parts/4/swap/prove/0/confirm",
            "parts[4].swap.prove[0].confirm",
        ),
        (
            "/parts/4/swap/prove/0/reading/value/unit",
            "parts[4].swap.prove[0].reading.value.unit",
        ),
        (
            "/parts/1/reseat/prove/0/reading/seen",
            "parts[1].reseat.prove[0].reading.seen",
        ),
        (
            "/make_safe/0/starts_wait/text",
            "make_safe[0].starts_wait.text",
        ),
        ("/services/0/name", "services[0].name"),
    ];
    for (pointer, path) in places {
        let faults = BrokenCatalog::new().set(pointer, json!("  ")).check();
        faults.only(Kind::EmptyText, path);
    }
}

#[test]
fn a_unit_must_be_made_safe() {
    let faults = BrokenCatalog::new().set("/make_safe", json!([])).check();
    faults.has(Kind::NothingThere, "make_safe");
}

#[test]
fn a_unit_has_a_face() {
    let faults = BrokenCatalog::new().set("/faces", json!([])).check();
    faults.has(Kind::NothingThere, "faces");
}

#[test]
fn a_hazard_that_hurts_people_is_not_a_notice() {
    let faults = BrokenCatalog::new()
        .set("/hazards/0/signal", json!("notice"))
        .check();
    faults.only(Kind::HarmPlayedDown, "hazards[0].signal");
}

#[test]
fn a_hazard_to_things_only_is_a_notice() {
    for word in ["caution", "warning", "danger"] {
        let faults = BrokenCatalog::new()
            .set("/hazards/1/signal", json!(word))
            .check();
        faults.only(Kind::HarmOverstated, "hazards[1].signal");
    }
}

#[test]
fn impossible_figures_are_reported() {
    let places = [
        ("/changes/tool_s", json!(-1), "changes.tool_s"),
        ("/changes/turn_s", json!(-0.5), "changes.turn_s"),
        ("/faces/1/width_mm", json!(0), "faces[1].width_mm"),
        (
            "/fasteners/0/length_mm",
            json!(-8),
            "fasteners[0].length_mm",
        ),
        ("/fasteners/0/torque/nm", json!(0), "fasteners[0].torque.nm"),
        (
            "/fasteners/0/torque/tolerance_nm",
            json!(0.6),
            "fasteners[0].torque.tolerance_nm",
        ),
        (
            "/parts/4/fastenings/0/torque/tolerance_nm",
            json!(-0.1),
            "parts[4].fastenings[0].torque.tolerance_nm",
        ),
        ("/parts/0/mass_kg", json!(0), "parts[0].mass_kg"),
        (
            "/parts/4/fastenings/0/count",
            json!(0),
            "parts[4].fastenings[0].count",
        ),
        (
            "/parts/4/swap/steps/1/uses/0/quantity",
            json!(0),
            "parts[4].swap.steps[1].uses[0].quantity",
        ),
        (
            "/parts/0/take_off/out/0/elements/0/count",
            json!(0),
            "parts[0].take_off.out[0].elements[0].count",
        ),
        (
            "/make_safe/0/starts_wait/seconds",
            json!(0),
            "make_safe[0].starts_wait.seconds",
        ),
        (
            "/hazards/0/demands/1/wait-minutes",
            json!(0),
            "hazards[0].demands[1].wait-minutes",
        ),
        (
            "/hazards/1/demands/1/people",
            json!(1),
            "hazards[1].demands[1].people",
        ),
        (
            "/faces/0/outline",
            json!([{"x": 0, "y": 0}, {"x": 9, "y": 9}]),
            "faces[0].outline",
        ),
        (
            "/faces/0/features/0/shape/rect/r",
            json!(16),
            "faces[0].features[0].shape.rect",
        ),
        (
            "/faces/0/features/1/shape/circle/r",
            json!(0),
            "faces[0].features[1].shape.circle",
        ),
        (
            "/faces/0/features/2/shape/line",
            json!([{"x": 1, "y": 1}]),
            "faces[0].features[2].shape.line",
        ),
    ];
    for (pointer, figure, path) in places {
        let faults = BrokenCatalog::new().set(pointer, figure).check();
        faults.only(Kind::BadNumber, path);
    }
}
