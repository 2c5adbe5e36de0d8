//! How long a plan takes in the browser, built as the app is.

#![cfg(target_arch = "wasm32")]

use lidoff_testkit::planning_times;
use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// One test for each unit: the runner asks the page now and then, and a page that does not
/// answer for long has failed.
fn measure(unit: usize) {
    let clock = web_sys::window().and_then(|it| it.performance());
    let clock = clock.expect("a browser has a clock");
    console_log!("{}", planning_times::run(unit, || clock.now()));
}

#[wasm_bindgen_test]
fn planning_the_kiosk_in_the_browser() {
    measure(0);
}

#[wasm_bindgen_test]
fn planning_the_laptop_in_the_browser() {
    measure(1);
}
