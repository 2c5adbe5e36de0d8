//! Shows the app on the page.
use super::stopped;
use leptos::prelude::*;

/// Shows the app on the page.
pub fn start() {
    stopped::tell_of_panics();
    mount_to_body(|| view! { <main id="app"><h1>"Lidoff"</h1></main> });
}
