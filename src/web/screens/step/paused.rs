//! The work stands still: why, since when, and what comes next.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::state::app;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::{about, sentence, time_of_day};
use lidoff_i18n::localize;
use lidoff_job::{EventKind, Job, PauseReason};

#[component]
pub(super) fn Paused(id: String, reason: PauseReason, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let next = job.next().map(|step| step.action.clone());
    let since = job
        .head
        .map(|(_, at)| time_of_day(at.wall_ms, at.offset_min));
    let resumed = id.clone();
    let note = job.pauses.last().map(|pause| pause.describe_note());
    let note = note.filter(|note| !note.is_empty());
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Paused")}</h1>
            <p>{tr!("{reason}, since {time}.", reason = sentence(&localize(reason.name())), time = since.unwrap_or_default())}</p>
            {note.map(|note| view! { <p>{note}</p> })}
            {next.map(|next| view! { <p><span class="soft">{tr!("Next: ")}</span>{localize(&next).into_owned()}</p> })}
            <p>{tr!("{time} left.", time = about(job.left_s()))}</p>
            <button type="button" class="key wide tall" prop:disabled=move || app.busy.get()
                on:click=move |_| app.act(&resumed, vec![EventKind::Resumed], || {})>{tr!("Go on with the work")}</button>
            <a class="button quiet wide" href=Route::Job(id, Page::Plan).href()>{tr!("The plan")}</a>
        </div>
    }
}

/// The reasons to stop, each a button that pauses.
#[component]
pub fn PauseReasons(id: String, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    PauseReason::ALL
        .into_iter()
        .map(|reason| {
            let id = id.clone();
            view! {
                <button type="button" class="wide" on:click=move |_| {
                    app.act(&id, vec![EventKind::Paused { reason, part: None, note: String::new() }], move || open.set(false));
                }>{sentence(&localize(reason.name()))}</button>
            }
        })
        .collect::<Vec<_>>()
}
