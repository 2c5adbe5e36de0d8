//! Closing the job: what is still missing, and the outcome.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{When, rows};
use lidoff_i18n::{localize, tr};
use lidoff_job::fold::{TaskProgress, TaskState};
use lidoff_job::tally::Unaccounted;
use lidoff_job::{EventKind, Job, Outcome, tally};

/// What is missing before the job can be closed as complete, or needs an explanation.
fn lacks(job: &Job) -> Vec<String> {
    let mut lacks: Vec<String> = Vec::new();
    if !job.remaining.is_empty() {
        lacks.push(tr!("some steps are still to do"));
    }
    if job.remaining.is_empty() && job.open_tasks().next().is_some() {
        lacks.push(tr!("a task is not done"));
    }
    if job.left_for_next().next().is_some() {
        lacks.push(tr!("a task is left for the next visit"));
    }
    lacks.extend(job.left_out_names().map(|part| {
        let part = localize(part);
        tr!("the unit is out of use: it is closed without {part}", part)
    }));
    lacks.extend(tally(job).unaccounted().iter().map(Unaccounted::describe));
    if job.failed().next().is_some() {
        lacks.push(tr!("a check failed"));
    }
    let dropped = |task: &TaskState| task.state == TaskProgress::Dropped;
    if job.tasks.iter().any(dropped) && job.can_complete() {
        lacks.push(tr!("a task was dropped: explain it in the note"));
    }
    lacks
}

/// The section.
#[component]
pub(super) fn Close(job: OpenJob) -> impl IntoView {
    let to = RwSignal::new(String::new());
    let note = RwSignal::new(String::new());
    let complete = job.slice(Job::can_complete);
    let lacks = job.slice(lacks);
    let close = move |outcome| {
        let note_text = note.get_untracked().trim().to_owned();
        let person = to.get_untracked().trim().to_owned();
        let mut kinds = Vec::new();
        if !person.is_empty() {
            kinds.push(EventKind::HandedOver {
                to: person,
                note: String::new(),
            });
        }
        kinds.push(EventKind::Closed {
            outcome,
            note: note_text,
        });
        job.act(kinds, || {});
    };
    view! {
        <section class="sheet lead" aria-labelledby="close">
            <h2 id="close">{tr!("Close the job")}</h2>
            <label class="field">
                <span>{tr!("Handed over to")}</span>
                <input type="text" autocomplete="off" on:input=move |event| to.set(event_target_value(&event))/>
            </label>
            <label class="field">
                <span>{tr!("Note: what is still open, what to bring next time")}</span>
                <textarea rows="3" on:input=move |event| note.set(event_target_value(&event))></textarea>
            </label>
            <When is=Signal::derive(move || lacks.with(|lacks| !lacks.is_empty()))>
                <p><strong>{tr!("Before you close:")}</strong></p>
                <ul class="marked">{rows(move || lacks.get(), Clone::clone, |lack| view! { <li>{lack}</li> })}</ul>
            </When>
            <button type="button" class="key wide tall" prop:disabled=move || !complete.get()
                on:click=move |_| close(Outcome::Complete)>{tr!("Complete")}</button>
            <button type="button" class="wide"
                on:click=move |_| close(Outcome::AnotherVisit)>{tr!("Another visit is needed")}</button>
            <button type="button" class="wide quiet"
                on:click=move |_| close(Outcome::LeftOpen)>{tr!("The unit is left open or out of use")}</button>
            <button type="button" class="wide quiet"
                on:click=move |_| close(Outcome::CalledOff)>{tr!("Cancelled: nothing was done")}</button>
        </section>
    }
}
