//! Conditions, options and questions.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::{Value, json};

use crate::good::BrokenCatalog;

#[test]
fn two_options_of_one_group_are_never_asked_for_together() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/4/swap/hand_backs/0/when",
            json!({"all": [{"fitted": "desk"}, {"fitted": "wall"}, {"answer": {"question": "revision", "is": "b"}}]}),
        )
        .check();
    faults.only(Kind::NeverHolds, "parts[4].swap.hand_backs[0].when");
}

#[test]
fn a_step_must_not_be_limited_to_units_that_lack_its_part() {
    let faults = BrokenCatalog::new()
        .set("/parts/2/ease/out/0/when", json!({"fitted": "desk"}))
        .check();
    faults.has(Kind::NeverHolds, "parts[2].ease.out[0].when");
}

#[test]
fn a_need_must_not_be_limited_to_units_that_lack_its_part() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/3/take_off/needs/all/2/when/then",
            json!({"when": {"condition": {"fitted": "desk"}, "then": {"eased": "panel"}}}),
        )
        .check();
    faults.only(
        Kind::NeverHolds,
        "parts[3].take_off.needs.all[2].when.then.when.condition",
    );
}

#[test]
fn an_empty_any_is_reported_at_its_place() {
    let faults = BrokenCatalog::new()
        .set("/hazards/1/when", json!({"not": {"any": []}}))
        .set("/options/2/usual", json!(true))
        .check();
    faults.only(Kind::EmptyAny, "hazards[1].when.not.any");
    let faults = BrokenCatalog::new()
        .set("/parts/1/ease/needs", json!({"any": []}))
        .check();
    faults.only(Kind::EmptyAny, "parts[1].ease.needs.any");
}

#[test]
fn a_group_has_one_usual_option() {
    let faults = BrokenCatalog::new()
        .set("/options/1/usual", json!(true))
        .check();
    faults.only(Kind::NotOneUsual, "options[0]");
    let faults = BrokenCatalog::new()
        .set("/options/0/usual", json!(false))
        .check();
    faults.only(Kind::NotOneUsual, "options[0]");
}

#[test]
fn a_question_has_two_answers() {
    let faults = BrokenCatalog::new()
        .without("/questions/1/answers/0")
        .check();
    faults.has(Kind::TooFewAnswers, "questions[1].answers");
    let faults = BrokenCatalog::new()
        .set("/questions/1/assumed", json!("torn"))
        .without("/questions/1/answers/0")
        .check();
    faults.only(Kind::TooFewAnswers, "questions[1].answers");
}

#[test]
fn the_assumed_answer_is_one_of_the_answers() {
    let faults = BrokenCatalog::new()
        .set("/questions/2/assumed", json!("firm"))
        .check();
    faults.only(Kind::UnknownId, "questions[2].assumed");
}

#[test]
fn a_question_that_needs_the_unit_open_is_asked_by_a_step() {
    let faults = BrokenCatalog::new()
        .without("/parts/3/take_off/out/2/asks")
        .check();
    faults.only(Kind::NeverAsked, "questions[1]");
    let faults = BrokenCatalog::new()
        .without("/parts/3/take_off/out/0/asks")
        .check();
    faults.only(Kind::NeverAsked, "questions[2]");
}

#[test]
fn a_question_answered_before_the_job_is_not_asked_again() {
    let faults = BrokenCatalog::new()
        .set("/make_safe/0/asks", json!("revision"))
        .check();
    faults.only(Kind::AskedAgain, "make_safe[0].asks");
}

fn strut_asked_at(pointer: &str) -> BrokenCatalog {
    BrokenCatalog::new()
        .without("/parts/3/take_off/out/0/asks")
        .set(pointer, json!("strut"))
}

#[test]
fn an_as_found_question_is_asked_while_the_unit_is_opened() {
    let faults = strut_asked_at("/hand_over/0/asks").check();
    faults.has(Kind::AskedTooLate, "hand_over[0].asks");
    let faults = strut_asked_at("/parts/3/take_off/back/1/asks").check();
    faults.has(Kind::AskedTooLate, "parts[3].take_off.back[1].asks");
}

#[test]
fn an_answer_is_not_needed_before_its_question_is_asked() {
    // Asked by the step behind the one that it governs.
    let faults = strut_asked_at("/parts/3/take_off/out/1/asks").check();
    faults.only(Kind::AskedTooLate, "parts[3].take_off.out[1].when");
    // Asked on the way back, and needed on the way out.
    let faults = strut_asked_at("/parts/3/take_off/back/0/asks").check();
    faults.has(Kind::AskedTooLate, "parts[3].take_off.out[1].when");
}

#[test]
fn an_answer_may_be_needed_on_a_part_that_another_brings_into_view() {
    strut_asked_at("/parts/0/take_off/out/0/asks")
        .check()
        .nothing();
}

/// So many options that not every way to fit the unit can be tried.
fn with_many_options() -> BrokenCatalog {
    let names: Vec<String> = (0..12).map(|nth| format!("extra-{nth}")).collect();
    let mut catalog = BrokenCatalog::new();
    for name in &names {
        catalog = catalog.add("/options", json!({"id": name, "name": "Extra"}));
    }
    let all: Vec<Value> = names.iter().map(|name| json!({"fitted": name})).collect();
    let then = json!({"when": {"condition": {"all": all}, "then": {"off": "lid"}}});
    catalog.add("/parts/3/take_off/needs/all", then)
}

#[test]
fn a_condition_on_too_many_options_to_try_is_accepted() {
    with_many_options().check().nothing();
}

#[test]
fn with_too_many_options_to_try_a_loop_on_every_unit_is_still_reported() {
    let faults = with_many_options()
        .set("/parts/0/take_off/needs", json!({"off": "tray"}))
        .check();
    faults.has(Kind::NeverReached, "parts[0].take_off.needs");
}

#[test]
fn with_too_many_options_to_try_a_loop_on_nearly_usual_units_is_still_reported() {
    let when = json!({"when": {"condition": {"fitted": "wall"}, "then": {"off": "tray"}}});
    let faults = with_many_options()
        .set("/parts/0/take_off/needs", when)
        .check();
    let fault = faults.has(Kind::SometimesNotReached, "parts[0].take_off.needs");
    assert!(fault.problem.contains("a unit with wall fitted"), "{fault}");
}
