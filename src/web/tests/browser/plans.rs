//! Same input, same plan: here as on every other machine.

use lidoff_testkit::demo_plans;
use wasm_bindgen_test::wasm_bindgen_test;

#[wasm_bindgen_test]
fn the_browser_plans_as_every_other_machine_does() {
    let kept = demo_plans::EXPECTED;
    for (here, kept) in demo_plans::plan_demo_units().lines().zip(kept.lines()) {
        assert_eq!(here, kept);
    }
    assert_eq!(
        demo_plans::plan_demo_units().lines().count(),
        kept.lines().count()
    );
}
