//! How the unit is fitted, in a sentence, with the forms to change it on request.

use std::sync::Arc;

use leptos::prelude::*;

use super::fitted::Fitted;
use super::form::Form;
use super::questions::Questions;
use crate::slice::Slice;
use crate::widgets::dynamic::{When, text};
use lidoff_app_core::part_choice::setup_sentence;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::tr;

/// The sentence, and a button that opens the forms.
#[component]
pub(super) fn UnitSetup(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let open = RwSignal::new(false);
    let described = catalog.clone();
    let sentence = Slice::new(move || setup_sentence(&described, &form.setup()));
    let is_any = Signal::derive(move || sentence.with(|sentence| !sentence.is_empty()));
    let catalog = StoredValue::new(catalog);
    view! {
        <When is=is_any>
            <section class="sheet" aria-label=tr!("Unit setup")>
                <div class="task">
                    <p class="small">{text(move || sentence.get())}</p>
                    <button type="button" class="quiet" aria-expanded=move || open.get().to_string()
                        on:click=move |_| open.update(|open| *open = !*open)>{tr!("Change")}</button>
                </div>
                <When is=open>
                    <div class="stack">
                        <Fitted catalog=catalog.get_value() form/>
                        <Questions catalog=catalog.get_value() form/>
                    </div>
                </When>
            </section>
        </When>
    }
}
