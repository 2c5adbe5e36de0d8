//! Same input, same plan: here as on every other machine.

use lidoff_testkit::demo_plans;
use wasm_bindgen_test::wasm_bindgen_test;

#[wasm_bindgen_test]
fn the_browser_plans_as_every_other_machine_does() {
    let found = demo_plans::plan_demo_units();
    let differences = demo_plans::differences(demo_plans::EXPECTED, &found);
    assert!(differences.is_empty(), "{}", differences.join("\n"));
}
