//! Desk (to come).
use leptos::prelude::*;
/// Desk.
#[component]
pub fn DeskScreen() -> impl IntoView {
    view! { <div class="screen"><h1 tabindex="-1">"Desk"</h1></div> }
}
