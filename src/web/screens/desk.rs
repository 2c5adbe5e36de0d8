//! The desk: actual against estimated times for the jobs on this device. Charts first,
//! then the numbers.

use leptos::prelude::*;

use crate::service::files;
use crate::state::app;
use crate::widgets::all_jobs::with_all_jobs;
use crate::widgets::times::Learned;
use lidoff_app_core::display::{capitalize, format_clock, format_date};
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, number, tr};
use lidoff_report::desk::compare::{Comparison, JobLine, NO_JOBS, PhaseLine, StepLine};
use lidoff_report::desk::{compare, gather};
use lidoff_report::exchange::author::author_notes;
use lidoff_report::exchange::{jobs_table, steps_table, values_table};

/// Number of steps shown at first.
const MOST_STEPS: usize = 20;

/// The screen.
#[component]
pub fn DeskScreen() -> impl IntoView {
    let app = app();
    let shown = with_all_jobs(move || {
        let logs = app.jobs.get().unwrap_or_default();
        let (jobs, _set_aside_already) = gather(logs.iter().map(|log| (**log).clone()));
        let comparison = compare(&jobs);
        if comparison.is_empty() {
            return view! { <p>{localize(NO_JOBS)}</p> }.into_any();
        }
        let notes = author_notes(&jobs);
        view! { <Compared comparison/><ForAuthors notes/><Learned jobs/> }.into_any()
    });
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Desk")}</h1>
            {shown}
        </div>
    }
}

#[component]
fn Compared(comparison: Comparison) -> impl IntoView {
    let app = app();
    let save = move |name: &str, text: &str| {
        let saved = files::save(name, "text/csv", text);
        if let Err(error) = saved {
            app.notify(true, error.to_string());
        }
    };
    let (by_job, by_step) = (jobs_table(&comparison), steps_table(&comparison));
    let values = (!comparison.values.is_empty()).then(|| values_table(&comparison));
    let steps = comparison.steps.clone();
    let jobs: Vec<_> = comparison.jobs.iter().rev().map(job_row).collect();
    let many = steps.len();
    let step_rows: Vec<_> = steps.iter().take(MOST_STEPS).map(step_row).collect();
    view! {
        <section class="sheet" aria-labelledby="by-job">
            <h2 id="by-job">{tr!("By job")}</h2>
            <Key/>
            <ul class="list">{jobs}</ul>
        </section>
        <section class="sheet" aria-labelledby="by-phase">
            <h2 id="by-phase">{tr!("By phase")}</h2>
            <Phases phases=comparison.phases.clone()/>
        </section>
        <section class="sheet" aria-labelledby="by-step">
            <h2 id="by-step">{tr!("By step")}</h2>
            <p class="soft small">
                {tr!("Largest overruns first: {} of {many}.", step_rows.len(), many)}
            </p>
            <ul class="list">{step_rows}</ul>
        </section>
        <div class="row">
            <button type="button" on:click=move |_| save("lidoff-jobs.csv", &by_job)>{tr!("Save jobs as CSV")}</button>
            <button type="button" on:click=move |_| save("lidoff-steps.csv", &by_step)>{tr!("Save steps as CSV")}</button>
            {values.map(|values| view! {
                <button type="button" on:click=move |_| save("lidoff-values.csv", &values)>{tr!("Save recorded values as CSV")}</button>
            })}
        </div>
    }
}

/// Technicians' notes to catalog authors; nothing if there are none.
#[component]
fn ForAuthors(notes: Option<String>) -> impl IntoView {
    let app = app();
    notes.map(|notes| {
        view! {
            <section class="sheet" aria-labelledby="authors">
                <h2 id="authors">{tr!("For the catalog authors")}</h2>
                <p>{tr!("These notes show where a unit differs from its catalog, each with its step.")}</p>
                <button type="button" on:click=move |_| {
                    if let Err(error) = files::save("lidoff-catalog-notes.csv", "text/csv", &notes) {
                        app.notify(true, error.to_string());
                    }
                }>{tr!("Save notes as CSV")}</button>
            </section>
        }
    })
}

/// What the two bars mean.
#[component]
fn Key() -> impl IntoView {
    view! {
        <p class="soft small">{tr!("Upper bar: estimate. Lower bar: actual time.")}</p>
    }
}

/// Two bars on one scale: the estimate above, the actual below.
#[component]
fn Bars(expected_s: f64, actual_s: f64, scale_s: f64) -> impl IntoView {
    let width = |seconds: f64| 100.0 * seconds.max(0.0) / scale_s.max(1.0);
    view! {
        <div class="bars" aria-hidden="true">
            <svg viewBox="0 0 100 10" preserveAspectRatio="none">
                <rect class="estimate" x="0" y="0" width=width(expected_s) height="4.4" stroke-width="0.3"/>
                <rect class="actual" x="0" y="5.2" width=width(actual_s) height="4.4" stroke-width="0.3"/>
            </svg>
        </div>
    }
}

fn times(expected_s: f64, actual_s: f64, pace: Option<f64>) -> String {
    let ms = |seconds: f64| format_clock((seconds * 1000.0) as i64);
    let pace = pace.map_or(String::new(), |pace| {
        format!(" · {}\u{a0}×", number(pace, 2))
    });
    tr!(
        "estimate {}, actual {}{pace}",
        ms(expected_s),
        ms(actual_s),
        pace
    )
}

fn job_row(job: &JobLine) -> impl IntoView + use<> {
    let (at, offset) = job.opened;
    let name = if job.reference.is_empty() {
        job.unit.clone()
    } else {
        format!("{} · {}", job.reference, job.unit)
    };
    let more = format!(
        "{}, {}{}",
        format_date(at, offset),
        tr!("{n} step" | "{n} steps" % job.steps),
        if job.replans > 0 {
            format!(", {}", tr!("{n} replan" | "{n} replans" % job.replans))
        } else {
            String::new()
        },
    );
    view! {
        <li>
            <a class="line" href=Route::Job(job.job.as_str().to_owned(), Page::WrapUp).href()>
                <strong>{name}</strong>
                <span aria-hidden="true">"›"</span>
            </a>
            <Bars expected_s=job.expected_s actual_s=job.actual_s scale_s=job.expected_s.max(job.actual_s)/>
            <p class="num">{times(job.expected_s, job.actual_s, job.pace())}</p>
            <p class="soft small">{more}</p>
        </li>
    }
}

#[component]
fn Phases(phases: Vec<PhaseLine>) -> impl IntoView {
    let scale_s = phases
        .iter()
        .map(|line| line.expected_s.max(line.actual_s))
        .fold(1.0, f64::max);
    let rows: Vec<_> = phases
        .into_iter()
        .map(|line| view! {
            <li>
                <strong>{capitalize(&localize(line.phase.name()))}</strong>
                <span class="soft">{format!(" · {} · {}", line.unit, tr!("{n} job" | "{n} jobs" % line.jobs))}</span>
                <Bars expected_s=line.expected_s actual_s=line.actual_s scale_s/>
                <p class="num">{times(line.expected_s, line.actual_s, line.pace())}</p>
            </li>
        })
        .collect();
    view! { <ul class="list">{rows}</ul> }
}

fn step_row(line: &StepLine) -> impl IntoView + use<> {
    let expected_s: f64 = line.times.iter().map(|one| one.expected_s).sum();
    let actual_s: f64 = line.times.iter().map(|one| one.actual_s).sum();
    let odd = line.times.iter().filter(|one| one.odd).count();
    let mut more = vec![line.unit.clone(), format!("n = {}", line.times.len())];
    if odd > 0 {
        more.push(tr!("{odd} unusual", odd));
    }
    if line.changed {
        let (low, high) = line.usual.unwrap_or_default();
        more.push(tr!(
            "CHANGED: the last time is outside {low} to {high} ×",
            low = number(low, 2),
            high = number(high, 2)
        ));
    }
    if line.left_out > 0 {
        more.push(tr!("{} excluded", line.left_out));
    }
    view! {
        <li>
            <p>{localize(&line.action).into_owned()}</p>
            <Bars expected_s actual_s scale_s=expected_s.max(actual_s)/>
            <p class="num">{times(expected_s, actual_s, line.pace)}</p>
            <p class="soft small">{more.join(" · ")}</p>
        </li>
    }
}
