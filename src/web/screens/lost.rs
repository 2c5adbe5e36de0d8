//! Page not found: the address of no screen.

use leptos::prelude::*;
use lidoff_i18n::tr;

/// Says so, and shows the way home.
#[component]
pub fn Lost(path: String) -> impl IntoView {
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Page not found")}</h1>
            <p>{tr!("There is no page at “{path}”. The job may be on another device.", path)}</p>
            <a class="button key" href="#/">{tr!("Go to today's jobs")}</a>
        </div>
    }
}
