//! The clocks.

use lidoff_job::{SpanKind, between};
use lidoff_web::service::clock;
use wasm_bindgen::JsValue;
use wasm_bindgen_test::wasm_bindgen_test;

use super::page;

#[wasm_bindgen_test]
async fn stamps_of_one_run_follow_each_other() {
    let first = clock::now();
    page::pass(30).await;
    let second = clock::now();
    assert_eq!(first.run, second.run);
    assert_eq!(clock::run(), first.run);
    let span = between(&first, &second);
    assert_eq!(span.kind, SpanKind::Steady);
    // A timer may be early by the rounding of the clock.
    assert!((28..2_000).contains(&span.ms), "{} ms", span.ms);
    assert!(second.mono_ms > first.mono_ms);
    let mut last = second;
    for _ in 0..1_000 {
        let next = clock::now();
        assert!(next.mono_ms >= last.mono_ms && next.hidden_ms >= last.hidden_ms);
        last = next;
    }
    // After 2026-01-01, and an offset that some place on earth has.
    assert!(first.wall_ms > 1_767_225_600_000);
    assert!((-12 * 60..=14 * 60).contains(&first.offset_min));
}

#[wasm_bindgen_test]
async fn the_time_that_the_page_is_hidden_for_is_counted_and_no_other() {
    clock::watch();
    let seen = clock::now();
    page::pass(20).await;
    assert_eq!(clock::now().hidden_ms, seen.hidden_ms);
    let hidden = hide();
    page::pass(50).await;
    let while_hidden = clock::now().hidden_ms - seen.hidden_ms;
    assert!((45..2_000).contains(&while_hidden), "{while_hidden} ms");
    show(hidden);
    let after = clock::now();
    assert!(after.hidden_ms >= seen.hidden_ms + while_hidden);
    page::pass(20).await;
    assert_eq!(clock::now().hidden_ms, after.hidden_ms);
}

/// Has the page say that it is hidden.
pub fn hide() -> page::Bent {
    let document = page::window().document().expect("a page");
    let bent = page::bend(&document, "hidden", &JsValue::TRUE);
    announce();
    bent
}

/// Has it say that it is seen again.
pub fn show(hidden: page::Bent) {
    drop(hidden);
    announce();
}

fn announce() {
    let document = page::window().document().expect("a page");
    let event = web_sys::Event::new("visibilitychange").expect("an event");
    document.dispatch_event(&event).expect("told");
}
