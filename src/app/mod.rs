//! The screens, and the browser's services behind small traits.

use leptos::prelude::*;

pub mod service;
pub mod stopped;

/// Shows the app on the page.
pub fn start() {
    stopped::tell_of_panics();
    mount_to_body(|| view! { <main id="app"><h1>"Lidoff"</h1></main> });
}
