//! Today: the job to carry on with at the top, then everything else.

use std::sync::Arc;

use leptos::prelude::*;

use crate::service::saved;
use crate::state::app;
use crate::widgets::profile::ProfilePicture;
use lidoff_app_core::display::{format_date, format_duration, job_title};
use lidoff_app_core::planning::profile;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, Log, Status};

/// So many finished jobs that were not saved to a file call for a reminder.
const REMIND_AT: usize = 5;

/// The screen. `list_jobs` shows the jobs, with [`listed`]: the shell loads that code
/// after the first screen is shown.
#[component]
pub fn Today(list_jobs: fn(Vec<Arc<Log>>) -> AnyView) -> impl IntoView {
    let app = app();
    let jobs = move || match app.jobs.get() {
        None => view! { <p>{tr!("Loading the jobs on this device.")}</p> }.into_any(),
        Some(logs) if logs.is_empty() => none_open().into_any(),
        Some(logs) => list_jobs(logs),
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Today")}</h1>
            {jobs}
            <a class="button key wide tall" href=Route::Units.href()>{tr!("Start a new job")}</a>
            <p class="soft small">
                {tr!("Lidoff plans and times the work. For safety, the unit's own documents, local codes and licensed practice always take precedence over this app.")}
            </p>
        </div>
    }
}

fn none_open() -> impl IntoView {
    view! { <p>{tr!("No job is open on this device.")}</p> }
}

/// The jobs: the first open one large, the others in lists.
pub fn listed(logs: &[Arc<Log>]) -> impl IntoView + use<> {
    let app = app();
    // Each job is folded already.
    let job = |log: &Arc<Log>| {
        let job = app.job(log.job().as_str()).unwrap_or_default();
        (Arc::clone(log), job)
    };
    let folded: Vec<(Arc<Log>, Arc<Job>)> = logs.iter().map(job).collect();
    let (closed, open): (Vec<_>, Vec<_>) = folded
        .into_iter()
        .partition(|(_, job)| matches!(job.status, Status::Closed { .. }));
    let unsaved = saved::unsaved(closed.iter().map(|(log, _)| &**log));
    let none = open.is_empty();
    let mut open = open.into_iter();
    let first = open.next().map(|(log, job)| carry_on(&log, &job));
    let others: Vec<_> = open.map(|(log, job)| row(&log, &job)).collect();
    let closed: Vec<_> = closed
        .into_iter()
        .take(10)
        .map(|(log, job)| row(&log, &job))
        .collect();
    view! {
        {none.then(none_open)}
        {first}
        {(!others.is_empty()).then(|| view! {
            <section class="sheet" aria-labelledby="others">
                <h2 id="others">{tr!("Also open")}</h2>
                <ul class="list">{others}</ul>
            </section>
        })}
        {(!closed.is_empty()).then(|| view! {
            <section class="sheet" aria-labelledby="closed">
                <h2 id="closed">{tr!("Closed")}</h2>
                <ul class="list">{closed}</ul>
                {(unsaved >= REMIND_AT).then(|| view! {
                    <p>
                        {tr!("Several finished jobs are on this device only.")}
                        " "
                        <a href=Route::Records.href()>{tr!("Save everything to a file")}</a>
                    </p>
                })}
            </section>
        })}
    }
}

fn state(job: &Job) -> String {
    match &job.status {
        Status::NotOpened => tr!("not started"),
        Status::Running => tr!("running, {} left", format_duration(job.left_s())),
        Status::Paused(reason) => {
            tr!(
                "paused: {}, {} left",
                localize(reason.name()),
                format_duration(job.left_s())
            )
        }
        Status::Closed { outcome, .. } => localize(outcome.name()).into_owned(),
    }
}

fn carry_on(log: &Log, job: &Job) -> impl IntoView + use<> {
    let id = log.job().as_str().to_owned();
    let done = job.done.len();
    let all = done + job.remaining.len();
    let site = job
        .opened
        .as_ref()
        .map(|opened| opened.site.clone())
        .unwrap_or_default();
    let next = job.next().map(|step| localize(&step.action).into_owned());
    view! {
        <section class="sheet lead" aria-labelledby="carry-on">
            <h2 id="carry-on">{job_title(job)}</h2>
            {(!site.is_empty()).then(|| view! { <p class="soft">{site.clone()}</p> })}
            <p>{tr!("Step {} of {}: {}", (done + 1).min(all.max(1)), all, state(job))}</p>
            <ProfilePicture profile=profile(job) leave_at_s=None/>
            {next.map(|next| view! { <p><span class="soft">{tr!("Next: ")}</span>{next}</p> })}
            <a class="button key wide tall" href=Route::Job(id.clone(), Page::Step).href()>{tr!("Carry on")}</a>
            <a class="button quiet wide" href=Route::Job(id, Page::Plan).href()>{tr!("See the plan")}</a>
        </section>
    }
}

fn row(log: &Log, job: &Job) -> impl IntoView + use<> {
    let id = log.job().as_str().to_owned();
    let when = job
        .head
        .map(|(_, at)| format_date(at.wall_ms, at.offset_min))
        .unwrap_or_default();
    let page = match job.status {
        Status::Closed { .. } => Page::WrapUp,
        _ => Page::Plan,
    };
    view! {
        <li>
            <a class="line" href=Route::Job(id, page).href()>
                <span>
                    <strong>{job_title(job)}</strong>
                    <br/>
                    <span class="soft small">
                        {format!("{}, {}, {when}", state(job), tr!("{n} step done" | "{n} steps done" % job.done.len()))}
                    </span>
                </span>
                <span aria-hidden="true">"›"</span>
            </a>
        </li>
    }
}
