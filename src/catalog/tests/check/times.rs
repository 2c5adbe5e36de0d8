//! Estimates, readings and waits.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn a_step_says_how_long_it_takes() {
    let faults = BrokenCatalog::new()
        .without("/hand_over/0/elements")
        .check();
    faults.only(Kind::NoEstimate, "hand_over[0]");
}

#[test]
fn a_step_says_only_once_how_long_it_takes() {
    let faults = BrokenCatalog::new()
        .set("/hand_over/0/measured", json!({"seconds": 30, "cv": 0.2}))
        .check();
    faults.only(Kind::TwoEstimates, "hand_over[0]");
}

#[test]
fn a_measured_time_and_its_spread_are_above_zero() {
    let step = "/parts/4/swap/hand_backs/0/steps/0/measured";
    for (field, figure) in [
        ("seconds", 0.0),
        ("seconds", -3.0),
        ("cv", 0.0),
        ("cv", -0.1),
    ] {
        let faults = BrokenCatalog::new()
            .set(&format!("{step}/{field}"), json!(figure))
            .check();
        let path = format!("parts[4].swap.hand_backs[0].steps[0].measured.{field}");
        faults.only(Kind::BadMeasure, &path);
    }
}

#[test]
fn a_reading_can_fail() {
    let reading = "/parts/4/swap/prove/0/reading/value";
    BrokenCatalog::new()
        .without(&format!("{reading}/low"))
        .check()
        .nothing();
    let faults = BrokenCatalog::new()
        .without(&format!("{reading}/low"))
        .without(&format!("{reading}/high"))
        .check();
    faults.only(Kind::NoLimit, "parts[4].swap.prove[0].reading.value");
}

#[test]
fn a_reading_can_pass() {
    let faults = BrokenCatalog::new()
        .set("/parts/4/swap/prove/0/reading/value/low", json!(13))
        .check();
    faults.only(Kind::LimitsCrossed, "parts[4].swap.prove[0].reading.value");
}

#[test]
fn a_wait_is_started_by_a_step() {
    let faults = BrokenCatalog::new()
        .set("/parts/0/take_off/out/0/after_wait", json!("discharg"))
        .check();
    let fault = faults.has(
        Kind::WaitNeverStarted,
        "parts[0].take_off.out[0].after_wait",
    );
    assert_eq!(fault.fix, "Did you mean “discharge”?");
}

#[test]
fn a_wait_is_started_before_the_step_that_waits_for_it() {
    let faults = BrokenCatalog::new()
        .set(
            "/parts/0/take_off/back/0/starts_wait",
            json!({"id": "cure", "text": "The glue sets.", "seconds": 60}),
        )
        .set("/parts/0/take_off/out/0/after_wait", json!("cure"))
        .without("/make_safe/0/starts_wait")
        .check();
    faults.only(
        Kind::WaitNeverStarted,
        "parts[0].take_off.out[0].after_wait",
    );
}

#[test]
fn a_started_wait_is_waited_for() {
    let faults = BrokenCatalog::new()
        .without("/parts/0/take_off/out/0/after_wait")
        .check();
    faults.only(Kind::WaitForNothing, "make_safe[0].starts_wait");
}

#[test]
fn two_steps_may_start_one_wait_with_the_same_text_and_time() {
    let wait = |text, seconds| json!({"id": "discharge", "text": text, "seconds": seconds});
    let place = "/services/0/steps/0/starts_wait";
    BrokenCatalog::new()
        .set(place, wait("The charge drains.", 120))
        .check()
        .nothing();
    for other in [wait("It drains.", 120), wait("The charge drains.", 60)] {
        let faults = BrokenCatalog::new().set(place, other).check();
        faults.only(Kind::WaitSaidTwice, "services[0].steps[0].starts_wait");
    }
}
