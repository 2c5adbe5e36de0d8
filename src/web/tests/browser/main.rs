//! What only a browser can answer: run in headless Chromium by `make test`.

#![cfg(target_arch = "wasm32")]

mod app;
mod catalogs;
mod clock;
mod event_store;
mod files;
mod heartbeat;
mod journal;
mod page;
mod photos;
mod plans;
mod store;
mod tabs;

use std::cell::RefCell;
use std::rc::Rc;

use lidoff_web::stopped;
use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};
use web_sys::CustomEvent;

wasm_bindgen_test_configure!(run_in_browser);

#[wasm_bindgen_test]
fn the_page_hears_why_the_app_has_stopped() {
    let heard = Rc::new(RefCell::new(None));
    let listener = {
        let heard = Rc::clone(&heard);
        Closure::<dyn FnMut(CustomEvent)>::new(move |event: CustomEvent| {
            *heard.borrow_mut() = event.detail().as_string();
        })
    };
    let window = web_sys::window().expect("a browser has a window");
    window
        .add_event_listener_with_callback(stopped::PANIC_EVENT, listener.as_ref().unchecked_ref())
        .expect("anyone may listen");
    stopped::report("the hinge is off its pin");
    assert_eq!(heard.borrow().as_deref(), Some("the hinge is off its pin"));
}
