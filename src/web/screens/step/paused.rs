//! The paused job: why, since when, and what comes next.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::slice::OpenJob;
use crate::widgets::dynamic::text;
use lidoff_app_core::display::{capitalize, format_duration, format_time_of_day};
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::localize;
use lidoff_job::{EventKind, Job, PauseReason};

#[component]
pub(super) fn Paused(job: OpenJob, reason: PauseReason) -> impl IntoView {
    let left = job.slice(Job::left_s);
    let at_pause = job.get_untracked();
    let next = at_pause.next().map(|step| step.action.clone());
    let since = at_pause
        .head
        .map(|(_, at)| format_time_of_day(at.wall_ms, at.offset_min));
    let note = at_pause.pauses.last();
    let note = note.map(|pause| pause.describe_note());
    let note = note.filter(|note| !note.is_empty());
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Paused")}</h1>
            <p>{tr!("{reason}, since {time}.", reason = capitalize(&localize(reason.name())), time = since.unwrap_or_default())}</p>
            {note.map(|note| view! { <p>{note}</p> })}
            {next.map(|next| view! { <p><span class="soft">{tr!("Next: ")}</span>{localize(&next).into_owned()}</p> })}
            <p>{text(move || tr!("{time} left.", time = format_duration(left.get())))}</p>
            <button type="button" class="key wide tall"
                on:click=move |_| job.record(EventKind::Resumed)>{tr!("Resume work")}</button>
            <a class="button quiet wide" href=Route::Job(job.id(), Page::Plan).href()>{tr!("See the plan")}</a>
        </div>
    }
}
