//! Ids name one thing each, and something that is there.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

#[test]
fn a_misspelt_part_is_reported_with_a_suggestion() {
    let faults = BrokenCatalog::new()
        .set("/parts/3/take_off/needs/all/1/any/0/eased", json!("fann"))
        .check();
    let fault = faults.only(
        Kind::UnknownId,
        "parts[3].take_off.needs.all[1].any[0].eased",
    );
    assert_eq!(fault.subject, "part tray");
    assert_eq!(fault.fix, "Did you mean “fan”?");
    assert_eq!(
        fault.to_string(),
        "tern-5.json, parts[3].take_off.needs.all[1].any[0].eased (part tray): \
         There is no part “fann”. Did you mean “fan”?"
    );
}

#[test]
fn every_id_that_is_used_exists() {
    let places = [
        ("/faces/0/features/0/part", "faces[0].features[0].part"),
        ("/parts/4/rides_on", "parts[4].rides_on"),
        (
            "/parts/0/fastenings/0/fastener",
            "parts[0].fastenings[0].fastener",
        ),
        ("/parts/0/fastenings/0/face", "parts[0].fastenings[0].face"),
        (
            "/parts/0/take_off/out/0/tool",
            "parts[0].take_off.out[0].tool",
        ),
        (
            "/parts/0/take_off/out/0/face",
            "parts[0].take_off.out[0].face",
        ),
        (
            "/parts/0/take_off/out/0/undo/1",
            "parts[0].take_off.out[0].undo[1]",
        ),
        (
            "/parts/0/take_off/back/0/redo/0",
            "parts[0].take_off.back[0].redo[0]",
        ),
        (
            "/parts/1/take_off/out/0/unplug/0",
            "parts[1].take_off.out[0].unplug[0]",
        ),
        (
            "/parts/1/take_off/back/0/plug/0",
            "parts[1].take_off.back[0].plug[0]",
        ),
        ("/make_safe/0/hazards/0", "make_safe[0].hazards[0]"),
        (
            "/parts/3/take_off/out/0/asks",
            "parts[3].take_off.out[0].asks",
        ),
        (
            "/parts/3/take_off/needs/all/2/when/condition/fitted",
            "parts[3].take_off.needs.all[2].when.condition.fitted",
        ),
        (
            "/parts/3/take_off/out/1/when/answer/question",
            "parts[3].take_off.out[1].when.answer.question",
        ),
        (
            "/parts/3/take_off/out/1/when/answer/is",
            "parts[3].take_off.out[1].when.answer.is",
        ),
        ("/parts/4/swap/spare", "parts[4].swap.spare"),
        ("/parts/4/swap/moves_over/0", "parts[4].swap.moves_over[0]"),
        ("/parts/4/swap/services/0", "parts[4].swap.services[0]"),
        (
            "/parts/4/swap/steps/1/uses/0/consumable",
            "parts[4].swap.steps[1].uses[0].consumable",
        ),
        ("/services/0/before/0/swap", "services[0].before[0].swap"),
        (
            "/services/1/after/0/put-back",
            "services[1].after[0].put-back",
        ),
        (
            "/services/1/after/1/service",
            "services[1].after[1].service",
        ),
        ("/services/1/needs/in-place", "services[1].needs.in-place"),
        ("/questions/0/assumed", "questions[0].assumed"),
    ];
    for (pointer, path) in places {
        let faults = BrokenCatalog::new()
            .set(pointer, json!("nowhere-at-all"))
            .check();
        faults.only(Kind::UnknownId, path);
    }
}

#[test]
fn all_unknown_ids_are_reported_at_once() {
    let faults = BrokenCatalog::new()
        .set("/parts/4/rides_on", json!("trya"))
        .set("/parts/0/take_off/out/0/tool", json!("t01"))
        .check();
    faults.has(Kind::UnknownId, "parts[4].rides_on");
    faults.has(Kind::UnknownId, "parts[0].take_off.out[0].tool");
}

#[test]
fn two_entries_of_one_kind_cannot_share_an_id() {
    let places = [
        ("/parts/2/id", "fan", "parts[2].id"),
        ("/tools/1/id", "t10", "tools[1].id"),
        ("/options/1/id", "desk", "options[1].id"),
        (
            "/questions/0/answers/1/id",
            "a",
            "questions[0].answers[1].id",
        ),
        (
            "/parts/3/fastenings/0/id",
            "lid-screws",
            "parts[3].fastenings[0].id",
        ),
        (
            "/parts/4/connections/0/id",
            "fan-lead",
            "parts[4].connections[0].id",
        ),
    ];
    for (pointer, id, path) in places {
        let faults = BrokenCatalog::new().set(pointer, json!(id)).check();
        faults.has(Kind::DuplicateId, path);
    }
}

#[test]
fn step_ids_are_unique_in_the_whole_catalog_for_times_are_gathered_under_them() {
    let faults = BrokenCatalog::new()
        .set("/hand_over/0/id", json!("lid-off"))
        .check();
    faults.only(Kind::DuplicateId, "hand_over[0].id");
}

#[test]
fn hand_backs_have_their_own_ids_too() {
    let piece = json!({"id": "bracket", "name": "Other bracket", "steps": []});
    let faults = BrokenCatalog::new()
        .add("/parts/4/swap/hand_backs", piece)
        .check();
    faults.only(Kind::DuplicateId, "parts[4].swap.hand_backs[1].id");
}

#[test]
fn a_part_and_a_tool_may_share_an_id() {
    BrokenCatalog::new()
        .set("/tools/1/id", json!("fan"))
        .set("/parts/4/swap/prove/0/tool", json!("fan"))
        .check()
        .nothing();
}

#[test]
fn the_units_id_can_name_its_file() {
    for id in ["Tern 5", "tern--5", "-tern", "", "tern_5", "../tern"] {
        let faults = BrokenCatalog::new().set("/unit/id", json!(id)).check();
        faults.has(Kind::BadId, "unit.id");
    }
}

#[test]
fn an_id_is_a_single_word() {
    let faults = BrokenCatalog::new()
        .set("/tools/1/id", json!("the meter"))
        .check();
    faults.has(Kind::BadId, "tools[1].id");
}

#[test]
fn a_file_is_named_after_its_unit() {
    let faults = BrokenCatalog::new()
        .set("/unit/id", json!("tern-6"))
        .check();
    faults.only(Kind::MisnamedFile, "unit.id");
}

#[test]
fn too_many_entries_are_reported_and_not_mixed_up() {
    let tool = |nth: usize| json!({"id": format!("tool-{nth}"), "name": "Tool", "class": "basic"});
    let tools: Vec<Value> = (0..=5_000).map(tool).collect();
    let faults = BrokenCatalog::new()
        .set("/tools", Value::Array(tools))
        .check();
    faults.has(Kind::TooMany, "tools[5000].id");
}
