//! What is folded away until it is wanted. A browser keeps a fold open by itself, also
//! where a new screen is drawn over the old one: so what is shown is asked of the
//! element, and told to it, and never counted along.

use leptos::html;
use leptos::prelude::*;

/// A fold with this summary. What is in it is made when it is opened, and `open` is
/// true for as long as it is.
#[component]
pub fn Unfold(
    class: &'static str,
    #[prop(into)] summary: ViewFn,
    open: RwSignal<bool>,
    #[prop(into)] inside: ViewFn,
) -> impl IntoView {
    let here = NodeRef::<html::Details>::new();
    let toggled = move |_| {
        if let Some(here) = here.get_untracked()
            && here.open() != open.get_untracked()
        {
            open.set(here.open());
        }
    };
    view! {
        <details class=class node_ref=here prop:open=move || open.get() on:toggle=toggled>
            <summary>{summary.run()}</summary>
            {move || open.get().then(|| inside.run())}
        </details>
    }
}
