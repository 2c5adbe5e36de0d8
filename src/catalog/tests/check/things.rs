//! What a job needs and leaves: kinds of fastener, substitutes, spares, kit, people, limits.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

fn screw(field: &str, value: Value) -> BrokenCatalog {
    BrokenCatalog::new().set(&format!("/fasteners/0/{field}"), value)
}

#[test]
fn a_property_class_has_the_form_of_its_standard() {
    for class in ["4.8", "8.8", "12.9", "A2-70", "D6-100"] {
        screw("property_class", json!(class)).check().nothing();
    }
    for class in ["8", "88", "8.8.8", "A2", "B2-70", "A2-7", "class 8.8", ""] {
        let faults = screw("property_class", json!(class)).check();
        faults.only(Kind::BadPropertyClass, "fasteners[0].property_class");
    }
    let of_kind = |kind: &str, class: &str| {
        let catalog = screw("property_class", json!(class)).set("/fasteners/0/kind", json!(kind));
        catalog.check()
    };
    of_kind("nut", "8").nothing();
    of_kind("set-screw", "45H").nothing();
    for (kind, class) in [("nut", "8.8"), ("set-screw", "8.8"), ("clip", "A2-70")] {
        let faults = of_kind(kind, class);
        faults.only(Kind::BadPropertyClass, "fasteners[0].property_class");
    }
}

#[test]
fn only_a_screw_forms_its_thread_or_has_a_head() {
    for (field, value) in [
        ("thread_forming", json!(true)),
        ("head", json!("pan")),
        ("point", json!("dog")),
    ] {
        screw(field, value.clone()).check().nothing();
        let faults = screw(field, value)
            .set("/fasteners/0/kind", json!("nut"))
            .check();
        faults.only(Kind::ImpossibleFastener, &format!("fasteners[0].{field}"));
    }
}

#[test]
fn a_substitute_is_another_tool_that_covers_the_torques() {
    let at = "tools[0].instead[0]";
    let instead = |id: &str, torque: Value| {
        let tool = json!({"id": "bit", "name": "Bit", "class": "basic", "torque": torque});
        BrokenCatalog::new()
            .set("/tools/0/instead", json!([id]))
            .add("/tools", tool)
            .check()
    };
    let wide = json!({"low_nm": 0.1, "high_nm": 1});
    instead("bit", wide.clone()).nothing();
    instead("bitt", wide.clone()).has(Kind::UnknownId, at);
    instead("t10", wide).has(Kind::StandsInForItself, at);
    let narrow = json!({"low_nm": 1, "high_nm": 2});
    instead("bit", narrow).only(Kind::TorqueWithoutTool, at);
    instead("bit", Value::Null).only(Kind::TorqueWithoutTool, at);
}

#[test]
fn a_spare_supersedes_only_others_and_says_something() {
    let spare = |field: &str, value: Value| {
        let catalog = BrokenCatalog::new().set(&format!("/spares/0/{field}"), value);
        catalog.check()
    };
    spare("replaces", json!(["TN-0004"])).nothing();
    spare("includes", json!(["four screws"])).nothing();
    spare("disposal", json!("battery")).nothing();
    let at = "spares[0].replaces[1]";
    spare("replaces", json!(["TN-0004", "TN-0005"])).only(Kind::StandsInForItself, at);
    spare("replaces", json!(["TN-0004", " "])).only(Kind::EmptyText, at);
    spare("includes", json!([""])).only(Kind::EmptyText, "spares[0].includes[0]");
    spare("return_old", json!("")).only(Kind::EmptyText, "spares[0].return_old");
}

fn kit() -> BrokenCatalog {
    let item = json!({"id": "barrier", "name": "Barrier", "class": "site"});
    BrokenCatalog::new()
        .set("/kit", json!([item]))
        .set("/make_safe/0/kit", json!(["barrier"]))
        .set("/hazards/1/kit", json!(["barrier"]))
}

#[test]
fn what_a_step_or_a_hazard_needs_is_on_the_kit_list() {
    kit().check().nothing();
    let faults = kit().set("/make_safe/0/kit/0", json!("barier")).check();
    let fault = faults.only(Kind::UnknownId, "make_safe[0].kit[0]");
    assert_eq!(fault.fix, "Did you mean “barrier”?");
    let faults = kit().set("/hazards/1/kit/0", json!("shoes")).check();
    faults.only(Kind::UnknownId, "hazards[1].kit[0]");
    let faults = kit().set("/kit/0/name", json!(" ")).check();
    faults.only(Kind::EmptyText, "kit[0].name");
    let twice = json!({"id": "barrier", "name": "Barrier", "class": "site"});
    let faults = kit().add("/kit", twice).check();
    faults.only(Kind::DuplicateId, "kit[1].id");
}

#[test]
fn a_kit_item_that_nothing_needs_is_reported() {
    let shoes = json!({"id": "shoes", "name": "Shoes", "class": "ppe"});
    kit()
        .add("/kit", shoes)
        .check()
        .only(Kind::Unused, "kit[1]");
}

#[test]
fn what_ends_a_control_exists_and_its_name_fits_on_a_badge() {
    let hazard = |field: &str, value: Value| {
        BrokenCatalog::new()
            .set(&format!("/hazards/0/{field}"), value)
            .check()
    };
    hazard("short", json!("Wrist strap")).nothing();
    let long = hazard("short", json!("Wrist strap on the earth stud"));
    long.only(Kind::LongShortName, "hazards[0].short");
    hazard("short", json!(" ")).only(Kind::EmptyText, "hazards[0].short");
    let ended = hazard("ended_by", json!(["no-such-step"]));
    ended.only(Kind::UnknownId, "hazards[0].ended_by[0]");
    let replaced = hazard("replaces", json!(["no-such-hazard"]));
    replaced.only(Kind::UnknownId, "hazards[0].replaces[0]");
    let until = hazard("lasts", json!({"until": "no-such-step"}));
    until.only(Kind::UnknownId, "hazards[0].lasts");
    let open = hazard("lasts", json!({"while-open": "no-such-part"}));
    open.only(Kind::UnknownId, "hazards[0].lasts");
}

#[test]
fn a_step_takes_as_many_people_as_its_hazards_demand() {
    let with = |people| {
        BrokenCatalog::new()
            .set("/make_safe/0/hazards", json!(["mains", "charge"]))
            .set("/make_safe/0/people", json!(people))
            .check()
    };
    with(2).nothing();
    with(1).only(Kind::TooFewPeople, "make_safe[0].people");
    with(0).only(Kind::BadNumber, "make_safe[0].people");
}

fn limited(start: &str, end: &str) -> BrokenCatalog {
    let limit = json!({"id": "open-time", "text": "Fit before the paste dries.", "seconds": 600});
    BrokenCatalog::new()
        .set(&format!("{start}/starts_limit"), limit)
        .set(&format!("{end}/ends_limit"), json!("open-time"))
}

#[test]
fn a_time_limit_is_ended_in_its_operation_or_on_the_way_back() {
    let swap = "/parts/4/swap/steps/0";
    for end in [
        "/parts/4/swap/steps/1",
        "/parts/4/swap/hand_backs/0/steps/0",
        "/parts/4/bench_off/back/0",
    ] {
        limited(swap, end).check().nothing();
    }
    let back = "/parts/3/take_off/back";
    limited(&format!("{back}/0"), &format!("{back}/1"))
        .check()
        .nothing();
    for (start, end, path) in [
        (
            swap,
            "/parts/0/take_off/back/0",
            "parts[0].take_off.back[0]",
        ),
        (
            swap,
            "/parts/4/bench_off/out/0",
            "parts[4].bench_off.out[0]",
        ),
        (swap, swap, "parts[4].swap.steps[0]"),
        (
            "/parts/3/take_off/back/1",
            "/parts/3/take_off/back/0",
            "parts[3].take_off.back[0]",
        ),
    ] {
        let faults = limited(start, end).check();
        faults.only(Kind::LimitEndedElsewhere, &format!("{path}.ends_limit"));
    }
}

#[test]
fn a_time_limit_begins_once_ends_and_says_what_and_how_long() {
    let (start, end) = ("/parts/4/swap/steps/0", "/parts/4/bench_off/back/0");
    let good = || limited(start, end);
    let at = "parts[4].swap.steps[0].starts_limit";
    let without = good().without(&format!("{end}/ends_limit")).check();
    without.only(Kind::LimitNeverEnded, at);
    let unknown = good().set(&format!("{end}/ends_limit"), json!("open-tine"));
    let faults = unknown.check();
    let fault = faults.has(Kind::UnknownId, "parts[4].bench_off.back[0].ends_limit");
    assert_eq!(fault.fix, "Did you mean “open-time”?");
    let field = |field: &str, value: Value| {
        let pointer = format!("{start}/starts_limit/{field}");
        good().set(&pointer, value).check()
    };
    field("seconds", json!(0)).only(Kind::BadNumber, &format!("{at}.seconds"));
    field("text", json!("")).only(Kind::EmptyText, &format!("{at}.text"));
    let again = json!({"id": "open-time", "text": "Again.", "seconds": 60});
    let faults = good()
        .set("/parts/4/swap/steps/1/starts_limit", again)
        .check();
    let twice = "parts[4].swap.steps[1].starts_limit.id";
    faults.only(Kind::DuplicateId, twice);
}
