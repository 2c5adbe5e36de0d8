//! Keeps the screen on while somebody works at a unit (W3C Screen Wake Lock API).
//!
//! A browser releases the lock when the page is hidden. It is requested again when the
//! page comes back, as long as it is wanted.

use std::cell::{Cell, RefCell};

use wasm_bindgen::JsValue;
use wasm_bindgen_futures::spawn_local;

use super::browser::{self, Thrown};
use lidoff_i18n::tr;

thread_local! {
    static WANTED: Cell<bool> = const { Cell::new(false) };
    static HELD: RefCell<Option<JsValue>> = const { RefCell::new(None) };
    static LISTENS: Cell<bool> = const { Cell::new(false) };
    static REPORTED: Cell<bool> = const { Cell::new(false) };
}

/// Sets whether the screen stays on. `tell` is called at most once in this run of the app,
/// if the browser refuses.
pub fn want(on: bool, report: impl Fn(String) + Copy + 'static) {
    if WANTED.replace(on) == on {
        return;
    }
    if !on {
        if let Some(held) = HELD.take() {
            // A lock that cannot be released ends with the page.
            let _gone = browser::call(&held, "release", &[]);
        }
        return;
    }
    if !LISTENS.replace(true)
        && let Ok(page) = browser::document()
    {
        browser::listen(&page, "visibilitychange", move || take(report));
    }
    take(report);
}

fn take(report: impl Fn(String) + 'static) {
    if !WANTED.get() || browser::hidden() {
        return;
    }
    spawn_local(async move {
        match request().await {
            Ok(lock) if WANTED.get() => {
                if let Some(before) = HELD.replace(Some(lock)) {
                    let _gone = browser::call(&before, "release", &[]);
                }
            }
            // Work was paused or left meanwhile.
            Ok(lock) => {
                let _gone = browser::call(&lock, "release", &[]);
            }
            // The page was hidden meanwhile: try again when it is visible.
            Err(_) if browser::hidden() => {}
            Err(why) if !REPORTED.replace(true) => report(tr!(
                "This browser cannot keep the screen on ({why}). Set a longer screen timeout on the device.",
                why = why
            )),
            Err(_) => {}
        }
    });
}

async fn request() -> Result<JsValue, Thrown> {
    let locks = browser::of_navigator("wakeLock")
        .ok_or_else(|| Thrown::from(JsValue::from(tr!("not supported"))))?;
    let asked = browser::call(&locks, "request", &[&"screen".into()])?;
    browser::settle(asked).await
}
