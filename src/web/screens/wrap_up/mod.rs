//! Wrap-up: checks, tally to zero, what was done and how long it took. Then the job is
//! closed and the report is shared.

mod checks;
mod close;
mod export;
mod old_parts;
mod tally;
mod times;

use leptos::prelude::*;

use self::checks::Checks;
use self::close::Close;
use self::export::Export;
use self::old_parts::OldParts;
use self::tally::TallySheet;
use self::times::{Phases, Times};
use crate::screens::of_job::of_job;
use crate::slice::{OpenJob, Slice};
use crate::widgets::dynamic::{When, rebuilt, rows, text};
use crate::widgets::photos::Photos;
use crate::widgets::profile::JobProfile;
use crate::widgets::why::show_reason;
use lidoff_app_core::display::{capitalize, job_title};
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr};
use lidoff_job::Status;
use lidoff_job::fold::{TaskProgress, TaskState};
use lidoff_report::exchange::report;

/// The screen.
#[component]
pub fn WrapUp(job: String) -> impl IntoView {
    of_job(job, tr!("Wrap-up"), |job| {
        view! { <Sections job/> }.into_any()
    })
}

#[component]
fn Sections(job: OpenJob) -> impl IntoView {
    let title = job.slice(job_title);
    let is_open = job.slice(|job| !matches!(job.status, Status::Closed { .. }));
    let heading = move || {
        if is_open.get() {
            tr!("Wrap-up")
        } else {
            tr!("Closed")
        }
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{text(heading)}</h1>
            <p class="soft">{text(move || title.get())}</p>
            <OutcomeSheet job/>
            <StepsLeft job/>
            <TallySheet job is_open/>
            <OldParts job is_open/>
            <Tasks job/>
            <Checks job/>
            <Values job/>
            <section class="sheet" aria-labelledby="times">
                <h2 id="times">{tr!("Actual and estimated time")}</h2>
                <Times job/>
                <Phases job/>
                <JobProfile job why=show_reason/>
            </section>
            <Findings job/>
            <Photos job/>
            <When is=is_open><Close job/></When>
            <Export job/>
        </div>
    }
}

/// The outcome of the job; nothing while it is open.
#[component]
fn OutcomeSheet(job: OpenJob) -> impl IntoView {
    let outcome = job.slice(|job| match &job.status {
        Status::Closed { outcome, note } => Some((*outcome, note.clone())),
        _ => None,
    });
    rebuilt(move || {
        outcome.get().map(|(outcome, note)| {
            view! {
                <section class="sheet lead" aria-label=tr!("Outcome")>
                    <p class="big-number">{capitalize(&localize(outcome.name()))}</p>
                    {(!note.is_empty()).then(|| view! { <p>{note.clone()}</p> })}
                </section>
            }
        })
    })
}

/// The number of steps still to do; nothing if there are none or the job is closed.
#[component]
fn StepsLeft(job: OpenJob) -> impl IntoView {
    let left = job.slice(|job| match job.status {
        Status::Closed { .. } => 0,
        _ => job.remaining.len(),
    });
    view! {
        <When is=Signal::derive(move || left.get() != 0)>
            <section class="sheet lead" aria-label=tr!("Still to do")>
                <p><strong>{text(move || tr!("One step is still to do." | "{n} steps are still to do." % left.get()))}</strong></p>
                <a class="button" href=Route::Job(job.id(), Page::Step).href()>{tr!("Carry on")}</a>
            </section>
        </When>
    }
}

#[component]
fn Tasks(job: OpenJob) -> impl IntoView {
    let tasks = job.slice(|job| job.tasks.clone());
    let row = |TaskState { task, state, .. }: TaskState| {
        let state = match state {
            TaskProgress::Open => tr!("○ not done"),
            TaskProgress::Done => tr!("✓ done"),
            TaskProgress::Dropped => tr!("– dropped"),
            TaskProgress::LeftOpen => tr!("○ left for the next visit"),
        };
        view! { <li class="row apart"><span>{task.describe()}</span><span>{state}</span></li> }
    };
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">{tr!("Tasks")}</h2>
            <ul class="list">
                {rows(move || tasks.get(), |one| (one.task.describe(), one.state as u8), row)}
            </ul>
        </section>
    }
}

/// The values that were written down.
#[component]
fn Values(job: OpenJob) -> impl IntoView {
    let values = job.slice(report::values);
    view! { <Lines id="values" title=tr!("Recorded values") lines=values/> }
}

#[component]
fn Findings(job: OpenJob) -> impl IntoView {
    let found = job.slice(report::problems);
    let notes = job.slice(|job| job.notes.iter().map(|note| note.text.clone()).collect());
    let author = job.slice(|job| {
        let notes = job.catalog_notes.iter();
        notes.map(|note| note.text.clone()).collect()
    });
    let irregular = job.slice(|job| {
        let findings = job.findings.iter();
        findings.map(|one| one.irregularity.to_string()).collect()
    });
    view! {
        <Lines id="found" title=tr!("Found during the job") lines=found/>
        <Lines id="notes" title=tr!("Notes") lines=notes/>
        <Lines id="author" title=tr!("For the catalog author") lines=author/>
        <Lines id="odd" title=tr!("Irregularities") lines=irregular/>
    }
}

/// Lines under a title; nothing if there are none.
#[component]
fn Lines(id: &'static str, title: String, lines: Slice<Vec<String>>) -> impl IntoView {
    let title = StoredValue::new(title);
    view! {
        <When is=Signal::derive(move || lines.with(|lines| !lines.is_empty()))>
            <section class="sheet" aria-labelledby=id>
                <h2 id=id>{title.get_value()}</h2>
                <ul class="list">{rows(move || lines.get(), Clone::clone, |line| view! { <li>{line}</li> })}</ul>
            </section>
        </When>
    }
}
