//! The address of the screen, and where the focus is on it.

use leptos::prelude::*;
use wasm_bindgen::JsCast as _;
use web_sys::HtmlElement;

use super::state::app;
use lidoff_app_core::route::Route;
use lidoff_i18n::tr;

/// The screen that the address names.
pub fn current_route() -> Route {
    Route::parse(&window().location().hash().unwrap_or_default())
}

/// Goes to a screen.
pub fn go_to(route: &Route) {
    if window().location().set_hash(&route.href()).is_err() {
        app().notify(
            true,
            tr!("The browser could not open the page. Reload Lidoff."),
        );
    }
}

/// The subject of a screen: its title, or an unacknowledged hazard, which comes first.
const SUBJECT: &str = "main section.hazard, main h1";

/// Focuses the first element that matches the CSS selector.
pub fn focus_on(css: &str) {
    if let Ok(Some(found)) = document().query_selector(css)
        && let Ok(found) = found.dyn_into::<HtmlElement>()
    {
        let _nothing_to_focus = found.focus();
    }
}

/// Focuses the subject of the screen.
pub fn focus_subject() {
    focus_on(SUBJECT);
}

/// Focuses the subject of the screen in the next frame if nothing has the focus then.
/// An element that leaves the page takes the focus with it, and a keyboard or a screen
/// reader would start again at the top of the page.
pub fn restore_focus() {
    request_animation_frame(|| {
        let is_lost = document()
            .active_element()
            .is_none_or(|focused| focused.tag_name() == "BODY");
        if is_lost {
            focus_subject();
        }
    });
}
