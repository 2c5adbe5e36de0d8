//! What services come before and after.

use lidoff_catalog::check::FaultKind as Kind;
use serde_json::json;

use crate::good::BrokenCatalog;

#[test]
fn the_order_of_services_is_not_circular() {
    let faults = BrokenCatalog::new()
        .set("/services/0/after", json!([{"service": "restore"}]))
        .check();
    let fault = faults.only(Kind::OrderInCircle, "services[0].before[0].swap");
    let circle = "save → board swapped → board back → restore → save";
    assert!(fault.problem.contains(circle), "{fault}");
}

#[test]
fn what_comes_after_a_part_is_back_does_not_come_before_it_is_swapped() {
    let faults = BrokenCatalog::new()
        .add("/services/0/before", json!({"take-off": "module"}))
        .set("/services/0/after", json!([{"put-back": "module"}]))
        .check();
    let fault = faults.only(Kind::OrderInCircle, "services[0].before[1].take-off");
    assert!(
        fault
            .problem
            .contains("save → module off → module swapped → module back → save"),
        "{fault}"
    );
}

#[test]
fn a_service_does_not_come_before_itself() {
    let faults = BrokenCatalog::new()
        .add("/services/0/before", json!({"service": "save"}))
        .check();
    faults.only(Kind::OrderInCircle, "services[0].before[1].service");
}

#[test]
fn a_service_is_ordered_against_an_operation_that_exists() {
    let orders = [
        (
            json!({"take-off": "panel"}),
            "services[0].before[0].take-off",
        ),
        (
            json!({"put-back": "panel"}),
            "services[0].before[0].put-back",
        ),
        (json!({"swap": "fan"}), "services[0].before[0].swap"),
    ];
    for (order, path) in orders {
        let faults = BrokenCatalog::new()
            .set("/services/0/before/0", order)
            .check();
        faults.only(Kind::NoSuchOperation, path);
    }
}
