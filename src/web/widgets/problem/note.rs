//! Notes for the next visit or for the catalog's author.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::state::app;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::tr;
use lidoff_job::EventKind;

/// A note on this step.
#[component]
pub(super) fn StepNote(job: OpenJob, step: u32, open: RwSignal<bool>) -> impl IntoView {
    let make = move |text| EventKind::Note {
        text,
        step: Some(step),
    };
    let label = tr!("What you found (for the report and the next visit)");
    view! { <NoteForm job label make open/> }
}

/// A note on an error in the catalog.
#[component]
pub(super) fn CatalogNote(job: OpenJob, step: u32, open: RwSignal<bool>) -> impl IntoView {
    let make = move |text| EventKind::CatalogWrong {
        text,
        step: Some(step),
    };
    let label = tr!("What is different? The desk sends this to the catalog author with the step.");
    let plan = Route::Job(job.id(), Page::Plan).href();
    view! {
        <NoteForm job label make open/>
        <p class="soft">{tr!("If this unit is fitted differently, replan:")}</p>
        <a class="button quiet wide" href=plan>{tr!("Change the plan")}</a>
    }
}

/// A text field, and the event that its text becomes.
#[component]
fn NoteForm(
    job: OpenJob,
    label: String,
    make: impl Fn(String) -> EventKind + 'static,
    open: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let text = RwSignal::new(String::new());
    let trimmed = move || text.with(|text| text.trim().to_owned());
    view! {
        <form class="stack" on:submit=move |event| {
            event.prevent_default();
            let text = trimmed();
            if !text.is_empty() {
                job.act_and_close(vec![make(text)], open);
            }
        }>
            <label class="field">
                <span>{label}</span>
                <textarea rows="3" on:input=move |event| text.set(event_target_value(&event))></textarea>
            </label>
            <button type="submit" class="wide" prop:disabled=move || trimmed().is_empty() || app.busy.get()>{tr!("Save the note")}</button>
        </form>
    }
}
