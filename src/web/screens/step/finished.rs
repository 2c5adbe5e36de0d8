//! All steps are done: continue to the wrap-up, or undo the last step.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{rebuilt, text};
use lidoff_app_core::display::format_duration;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr};
use lidoff_job::EventKind;

/// Every step is done.
#[component]
pub(super) fn Finished(job: OpenJob) -> impl IntoView {
    let total = job.slice(|job| (job.done.len(), job.worked_ms));
    let total = move || {
        let (many, worked_ms) = total.get();
        let time = format_duration(worked_ms as f64 / 1000.0);
        tr!(
            "One step in {time}." | "{n} steps in {time}." % many,
            time = time
        )
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("All steps are done")}</h1>
            <p>{text(total)}</p>
            <a class="button key wide tall" href=Route::Job(job.id(), Page::WrapUp).href()>{tr!("Wrap up")}</a>
            <UndoLast job/>
        </div>
    }
}

#[component]
fn UndoLast(job: OpenJob) -> impl IntoView {
    let last = job.slice(|job| {
        let done = job.done.last()?;
        Some((done.event, done.step.action.clone()))
    });
    rebuilt(move || {
        last.get().map(|(event, action)| {
            view! {
                <button type="button" class="quiet wide"
                    on:click=move |_| job.record(EventKind::Undone { event })>
                    {tr!("Undo: {action}", action = localize(&action))}
                </button>
            }
        })
    })
}
