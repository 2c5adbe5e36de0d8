//! A sheet that opens over the screen for one question.

use leptos::html;
use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::widgets::dynamic::When;

/// A dialog, shown while `open` is true. Escape closes it.
#[component]
pub fn Sheet(
    open: RwSignal<bool>,
    #[prop(into)] title: String,
    children: ChildrenFn,
) -> impl IntoView {
    let dialog = NodeRef::<html::Dialog>::new();
    let (title, children) = (StoredValue::new(title), StoredValue::new(children));
    Effect::new(move |_| {
        let Some(dialog) = dialog.get() else { return };
        if open.get() {
            // Opening an open dialog fails, which does no harm.
            let _open = dialog.show_modal();
        } else {
            dialog.close();
        }
    });
    view! {
        <dialog node_ref=dialog aria-label=title.get_value() on:close=move |_| open.set(false)>
            <When is=open>
                <div>
                    <h2>{title.get_value()}</h2>
                    {children.with_value(|children| children())}
                    <button type="button" class="quiet" on:click=move |_| open.set(false)>{tr!("Back")}</button>
                </div>
            </When>
        </dialog>
    }
}
