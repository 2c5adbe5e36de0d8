//! Content that is collapsed until it is wanted.

use leptos::prelude::*;
use leptos::web_sys::{Event, HtmlDetailsElement};

/// A disclosure with this summary. Its content is built when it is opened; `open` is true
/// while it is open.
#[component]
pub fn Disclosure(
    class: &'static str,
    #[prop(into)] summary: ViewFn,
    open: RwSignal<bool>,
    #[prop(into)] inside: ViewFn,
) -> impl IntoView {
    let toggled = move |event: Event| {
        // The browser opens and closes it by itself.
        let details: HtmlDetailsElement = event_target(&event);
        if details.open() != open.get_untracked() {
            open.set(details.open());
        }
    };
    view! {
        <details class=class prop:open=move || open.get() on:toggle=toggled>
            <summary>{summary.run()}</summary>
            {move || open.get().then(|| inside.run())}
        </details>
    }
}
