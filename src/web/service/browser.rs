//! Basic browser objects that the services need, none of which is guaranteed to exist.

use std::fmt;

use js_sys::{Array, Function, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Document, EventTarget, Window};

use lidoff_i18n::{localize, tr, tr_noop};

/// An error that the browser threw, or the rejection of a promise.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Thrown {
    /// Name of the error ("QuotaExceededError"); empty if the value is not an error.
    pub name: String,
    /// Its message.
    pub message: String,
}

impl Thrown {
    fn because(message: &str) -> Self {
        Self {
            name: String::new(),
            message: message.to_owned(),
        }
    }
}

impl From<JsValue> for Thrown {
    fn from(value: JsValue) -> Self {
        // A DOMException is an Error too.
        match value.dyn_ref::<js_sys::Error>() {
            Some(error) => Self {
                name: error.name().into(),
                message: error.message().into(),
            },
            None => Self::because(&value.as_string().unwrap_or_default()),
        }
    }
}

impl fmt::Display for Thrown {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match (self.name.is_empty(), self.message.is_empty()) {
            (true, true) => f.write_str(&tr!("no reason given")),
            (false, true) => f.write_str(&self.name),
            (true, false) => f.write_str(&localize(&self.message)),
            (false, false) => write!(f, "{}: {}", self.name, self.message),
        }
    }
}

pub(super) fn window() -> Result<Window, Thrown> {
    web_sys::window().ok_or_else(|| Thrown::because(tr_noop!("there is no window")))
}

pub(super) fn document() -> Result<Document, Thrown> {
    window()?
        .document()
        .ok_or_else(|| Thrown::because(tr_noop!("there is no page")))
}

/// A member of `navigator` that this browser, or an address without TLS, may
/// lack.
pub(super) fn of_navigator(name: &str) -> Option<JsValue> {
    let navigator = window().ok()?.navigator();
    let member = Reflect::get(&navigator, &name.into()).ok()?;
    (!member.is_undefined() && !member.is_null()).then_some(member)
}

/// Calls a method that this browser may lack.
pub(super) fn call(on: &JsValue, method: &str, with: &[&JsValue]) -> Result<JsValue, Thrown> {
    let function: Function = Reflect::get(on, &method.into())?
        .dyn_into()
        .map_err(|_| Thrown::because(tr_noop!("this browser cannot do that")))?;
    let arguments = Array::new();
    for argument in with {
        arguments.push(argument);
    }
    Ok(Reflect::apply(&function, on, &arguments)?)
}

/// Waits for a value that may be a promise.
pub(super) async fn settle(value: JsValue) -> Result<JsValue, Thrown> {
    Ok(JsFuture::from(Promise::resolve(&value)).await?)
}

/// Calls the function after this many milliseconds.
pub(super) fn after(ms: i32, function: &Function) {
    // Without a window, nothing waits for the timer.
    if let Ok(window) = window() {
        let _set = window.set_timeout_with_callback_and_timeout_and_arguments_0(function, ms);
    }
}

/// Waits this many milliseconds.
pub(super) async fn pass(ms: i32) {
    // The promise is never rejected.
    let _passed = JsFuture::from(Promise::new(&mut |done, _| after(ms, &done))).await;
}

/// Listens for as long as the page lives.
pub(super) fn listen(to: &EventTarget, event: &str, listener: impl FnMut() + 'static) {
    let listener = Closure::<dyn FnMut()>::new(listener);
    // Any target accepts any listener: only a malformed call fails.
    let _listening = to.add_event_listener_with_callback(event, listener.as_ref().unchecked_ref());
    listener.forget();
}

/// Whether the page is hidden.
pub(super) fn hidden() -> bool {
    document().is_ok_and(|page| page.hidden())
}
