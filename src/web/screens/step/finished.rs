//! Every step is done: on to the wrap-up, or the last one was not after all.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use super::undo::undo;
use crate::state::app;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::about;
use lidoff_i18n::localize;
use lidoff_job::Job;

/// Every step is done.
#[component]
pub(super) fn Finished(id: String, job: Arc<Job>) -> impl IntoView {
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("All steps are done")}</h1>
            <p>{tr!("One step in {time}." | "{n} steps in {time}." % job.done.len(), time = about(job.worked_ms as f64 / 1000.0))}</p>
            <a class="button key wide tall" href=Route::Job(id.clone(), Page::WrapUp).href()>{tr!("Wrap up")}</a>
            <UndoLast id job/>
        </div>
    }
}

#[component]
fn UndoLast(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    job.done
        .last()
        .map(|done| (done.event, done.step.action.clone()))
        .map(|(event, action)| {
            view! {
                <button type="button" class="quiet wide" prop:disabled=move || app.busy.get()
                    on:click=move |_| undo(app, &id, event)>
                    {tr!("Undo: {action}", action = localize(&action))}
                </button>
            }
        })
}
