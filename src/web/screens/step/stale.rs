//! There is no plan, or none for what was found: why, and how the job can go on.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::slice::OpenJob;
use crate::state::app;
use crate::taps::{Taps, input_clock_ms};
use crate::widgets::dynamic::text;
use crate::widgets::offer::Choices;
use crate::widgets::pause_reasons::PauseReasons;
use crate::widgets::power::PowerLine;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::tr;
use lidoff_job::EventKind;

/// The screen instead of the step: nothing may be done by a plan that no longer fits.
#[component]
pub(super) fn Stale(job: OpenJob, undo_taps: Taps) -> impl IntoView {
    let app = app();
    let why = RwSignal::new(String::new());
    let handler = app.progress_handler(move || why.try_with_untracked(|_| ()).is_some());
    let id = job.id();
    spawn_local(async move {
        if let Err(words) = app.would(&id, Vec::new(), handler).await {
            let _gone = why.try_set(words);
        }
    });
    let (then, pausing) = (RwSignal::new(false), RwSignal::new(false));
    let shown_ms = input_clock_ms();
    let undo = move |event: web_sys::MouseEvent| {
        if !undo_taps.take(shown_ms, &event) {
            return;
        }
        let job_now = job.get_untracked();
        let entries = job_now.undo_next().iter().rev();
        let entries = entries.map(|event| EventKind::Undone { event: *event });
        job.act(entries.collect(), || {});
    };
    let can_undo = job.slice(|job| !job.undo_next().is_empty());
    let (title, what) = if job.get_untracked().plan.is_some() {
        (
            tr!("The plan no longer fits"),
            tr!("Your entry is recorded. Choose how to go on."),
        )
    } else {
        (
            tr!("No plan yet"),
            tr!("The job is saved, but its plan is not. Choose how to go on."),
        )
    };
    view! {
        <div class="screen">
            <PowerLine job/>
            <h1 tabindex="-1">{title}</h1>
            <p>{what}</p>
            <p class="change">{text(move || why.get())}</p>
            <Choices job kinds=Vec::new() label=tr!("Replan") then/>
            <button type="button" class="wide quiet" prop:disabled=move || !can_undo.get() || app.busy.get()
                on:click=undo>{tr!("Undo the last entry")}</button>
            <button type="button" class="wide" on:click=move |_| pausing.set(true)>{tr!("Pause")}</button>
            <a class="button quiet wide" href=Route::Job(job.id(), Page::WrapUp).href()>{tr!("Stop the job here")}</a>
        </div>
        <Sheet open=pausing title=tr!("Why are you stopping?")>
            <PauseReasons job open=pausing/>
        </Sheet>
    }
}
