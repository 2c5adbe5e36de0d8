//! Tells the page when the app has stopped.
//!
//! A panic ends this WASM instance, so it can draw nothing after that. The page's own
//! script shows a plain banner that offers a reload and the records as a file. This
//! module only tells the script that the app stopped, and why.

use wasm_bindgen::JsValue;
use web_sys::{CustomEvent, CustomEventInit, console};

/// The event on `window` that carries a panic's message as its detail.
pub const PANIC_EVENT: &str = "lidoff-panic";

/// Reports panics to the console and to the page from now on.
pub fn report_panics() {
    std::panic::set_hook(Box::new(|panic| report(&panic.to_string())));
}

/// Tells the page that the app has stopped, and why.
pub fn report(why: &str) {
    let why = JsValue::from_str(why);
    console::error_1(&why);
    let init = CustomEventInit::new();
    init.set_detail(&why);
    // Nothing here may panic again, and there is nobody left to tell: the page
    // also hears of the trap that follows.
    if let (Some(window), Ok(event)) = (
        web_sys::window(),
        CustomEvent::new_with_event_init_dict(PANIC_EVENT, &init),
    ) {
        let _told = window.dispatch_event(&event);
    }
}
