//! How long a plan takes in the browser, built as the app is.
#![cfg(target_arch = "wasm32")]

mod planning;

use wasm_bindgen_test::{console_log, wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn planning_in_the_browser() {
    let clock = web_sys::window().and_then(|it| it.performance());
    let clock = clock.expect("a browser has a clock");
    console_log!("{}", planning::run(|| clock.now()));
}
