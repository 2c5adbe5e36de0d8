//! What must be said to have been looked at before a step is done.

use leptos::prelude::*;

use crate::app::state::app;
use crate::job::What;

#[component]
pub(super) fn Confirm(id: String, text: String, step: u32, open: bool) -> impl IntoView {
    let app = app();
    view! {
        <label class="tick boxed">
            <input type="checkbox" prop:checked=!open prop:disabled=!open
                on:change=move |_| app.act(&id, vec![What::Confirmed { step }], || {})/>
            <span>{text}</span>
        </label>
    }
}
