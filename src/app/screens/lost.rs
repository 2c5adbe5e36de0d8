//! An address that means nothing.

use leptos::prelude::*;

/// Says so, and shows the way home.
#[component]
pub fn Lost(path: String) -> impl IntoView {
    view! {
        <div class="screen">
            <h1 tabindex="-1">"Nothing here"</h1>
            <p>"There is no screen at “" {path} "”. The job may have been opened on another device."</p>
            <a class="button key" href="#/">"To today's jobs"</a>
        </div>
    }
}
