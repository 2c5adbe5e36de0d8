//! Wrap-up: checks, tally to zero, what was done and how long it took; then the
//! job is closed, and its report goes where it is needed.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::planning::profile;
use crate::app::route::{Page, Route};
use crate::app::screens::of_job::of_job;
use crate::app::screens::today::name;
use crate::app::service::files::{self, Shared};
use crate::app::state::{App, app};
use crate::app::widgets::profile::ProfilePicture;
use crate::app::words::{about, clock, count, sentence};
use crate::catalog::format::Reading;
use crate::exchange::{job_document, report};
use crate::job::fold::{TaskProgress, TaskState};
use crate::job::tally::Unaccounted;
use crate::job::{Job, JobPhase, Log, Outcome, Status, Taken, What, tally};

/// The screen.
#[component]
pub fn WrapUp(job: String) -> impl IntoView {
    of_job(job, "Wrap-up", |id, job| {
        view! { <Shown id job/> }.into_any()
    })
}

#[component]
fn Shown(id: String, job: Arc<Job>) -> impl IntoView {
    let closed = matches!(job.status, Status::Closed { .. });
    let worked_s = job.worked_ms as f64 / 1000.0;
    let planned_s: f64 = job.done.iter().map(|done| done.step.expected_s()).sum();
    let outcome = match &job.status {
        Status::Closed { outcome, note } => Some((sentence(outcome.name()), note.clone())),
        _ => None,
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{if closed { "Closed" } else { "Wrap-up" }}</h1>
            <p class="soft">{name(&job)}</p>
            {outcome.map(|(outcome, note)| view! {
                <section class="sheet lead" aria-label="Outcome">
                    <p class="big-number">{outcome}</p>
                    {(!note.is_empty()).then(|| view! { <p>{note.clone()}</p> })}
                </section>
            })}
            {(!closed && !job.remaining.is_empty()).then(|| view! {
                <section class="sheet lead" aria-label="Still to be done">
                    <p><strong>{format!("{} still to be done.", count(job.remaining.len(), "step is", "steps are"))}</strong></p>
                    <a class="button" href=Route::Job(id.clone(), Page::Step).href()>"Carry on"</a>
                </section>
            })}
            <TallySheet id=id.clone() job=job.clone() closed/>
            <Tasks job=job.clone()/>
            <Checks job=job.clone()/>
            <section class="sheet" aria-labelledby="times">
                <h2 id="times">"Actual against estimated"</h2>
                <dl class="facts">
                    <div><dt>"It took"</dt><dd>{about(worked_s)}</dd></div>
                    <div><dt>"Planned for these steps"</dt><dd>{about(planned_s)}</dd></div>
                    <div><dt>"Pace"</dt><dd>{pace(worked_s, planned_s)}</dd></div>
                </dl>
                <Phases job=job.clone()/>
                <ProfilePicture profile=profile(&job) leave_at_s=None job=job.clone()/>
            </section>
            <Findings job=job.clone()/>
            {if closed {
                view! { <Out id=id.clone()/> }.into_any()
            } else {
                view! { <Close id=id.clone() job=job.clone()/> <Out id=id.clone()/> }.into_any()
            }}
        </div>
    }
}

fn pace(actual: f64, planned: f64) -> String {
    if planned > 0.0 {
        format!("{:.2} × the estimate", actual / planned)
    } else {
        "–".to_owned()
    }
}

#[component]
fn TallySheet(id: String, job: Arc<Job>, closed: bool) -> impl IntoView {
    let tally = tally(&job);
    let open = tally.unaccounted();
    let zero = open.is_empty();
    let rows: Vec<_> = open
        .into_iter()
        .map(|one| view! { <Open id=id.clone() one closed/> })
        .collect();
    let empty: Vec<_> = tally
        .left_empty()
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect();
    let explained: Vec<_> = job
        .explained
        .iter()
        .map(|one| {
            let set = tally.set(&one.fastening).map_or_else(
                || one.fastening.0.clone(),
                |set| format!("{}, {}", set.fasteners.part_name, set.fasteners.name),
            );
            view! { <li>{format!("{set}: {}", one.note)}</li> }
        })
        .collect();
    view! {
        <section class="sheet" class:lead=!zero aria-labelledby="tally">
            <h2 id="tally">"Tally"</h2>
            {zero.then(|| view! { <p><strong>"✓ Zero: everything that came out is accounted for."</strong></p> })}
            <ul class="list">{rows}</ul>
            {(!empty.is_empty()).then(|| view! { <h3>"Places left empty"</h3><ul class="list">{empty}</ul> })}
            {(!explained.is_empty()).then(|| view! { <h3>"Explained"</h3><ul class="list">{explained}</ul> })}
        </section>
    }
}

/// Something that is not accounted for, and a way to say why.
#[component]
fn Open(id: String, one: Unaccounted, closed: bool) -> impl IntoView {
    let app = app();
    let why = RwSignal::new(String::new());
    let words = one.words();
    let form = match one {
        Unaccounted::Set {
            fastening,
            difference,
            ..
        } if !closed => Some(view! {
            <form on:submit=move |event| {
                event.prevent_default();
                let note = why.get_untracked().trim().to_owned();
                if !note.is_empty() {
                    app.act(&id, vec![What::Explained { fastening: fastening.clone(), difference, note }], || {});
                }
            } class="stack">
                <label class="field">
                    <span>"Why?"</span>
                    <input type="text" autocomplete="off" on:input=move |event| why.set(event_target_value(&event))/>
                </label>
                <button type="submit">"Keep the reason"</button>
            </form>
        }),
        _ => None,
    };
    view! { <li><strong>{words}</strong>{form}</li> }
}

#[component]
fn Tasks(job: Arc<Job>) -> impl IntoView {
    let rows: Vec<_> = job
        .tasks
        .iter()
        .map(|task| {
            let said = match task.state {
                TaskProgress::Open => "○ not done",
                TaskProgress::Done => "✓ done",
                TaskProgress::Dropped => "– dropped",
                TaskProgress::LeftOpen => "○ left for the next visit",
            };
            view! { <li class="row apart"><span>{task.task.words()}</span><span>{said}</span></li> }
        })
        .collect();
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">"Tasks"</h2>
            <ul class="list">{rows}</ul>
        </section>
    }
}

#[component]
fn Checks(job: Arc<Job>) -> impl IntoView {
    let rows: Vec<_> = job
        .readings
        .iter()
        .map(|reading| {
            let (what, unit) = match &reading.asked {
                Some(Reading::Value { what, unit, .. }) => (what.clone(), format!(" {unit}")),
                Some(Reading::Seen(what)) => (what.clone(), String::new()),
                None => ("A check that the plan no longer has".to_owned(), String::new()),
            };
            let taken = match reading.taken {
                Taken::Value(value) => format!("{value}{unit}"),
                Taken::Seen(true) => "yes".to_owned(),
                Taken::Seen(false) => "no".to_owned(),
            };
            let mark = match reading.passed {
                Some(true) => "✓ passed",
                Some(false) => "✗ not passed",
                None => "noted",
            };
            view! { <li class="row apart"><span>{what}</span><span class="num">{format!("{taken}, {mark}")}</span></li> }
        })
        .collect();
    (!rows.is_empty()).then(|| {
        view! {
            <section class="sheet" aria-labelledby="checks">
                <h2 id="checks">"Checks"</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}

#[component]
fn Phases(job: Arc<Job>) -> impl IntoView {
    let rows: Vec<_> = JobPhase::ALL
        .into_iter()
        .filter_map(|phase| {
            let steps = || job.done.iter().filter(|done| done.step.phase == phase);
            let many = steps().count();
            let planned: f64 = steps().map(|done| done.step.expected_s()).sum();
            let actual: i64 = steps().map(|done| done.work_ms).sum();
            (many > 0).then(|| {
                view! {
                    <tr>
                        <td>{sentence(phase.name())}</td>
                        <td>{many}</td>
                        <td>{clock((planned * 1000.0) as i64)}</td>
                        <td>{clock(actual)}</td>
                    </tr>
                }
            })
        })
        .collect();
    view! {
        <div class="scroll">
            <table>
                <thead><tr><th>"Phase"</th><th>"Steps"</th><th>"Plan"</th><th>"Took"</th></tr></thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}

#[component]
fn Findings(job: Arc<Job>) -> impl IntoView {
    let lines: Vec<_> = job
        .findings
        .iter()
        .map(|finding| view! { <li>{finding.trouble.to_string()}</li> })
        .collect();
    let notes: Vec<_> = job
        .notes
        .iter()
        .map(|note| view! { <li>{note.text.clone()}</li> })
        .collect();
    view! {
        {(!notes.is_empty()).then(|| view! {
            <section class="sheet" aria-labelledby="notes"><h2 id="notes">"Notes"</h2><ul class="list">{notes}</ul></section>
        })}
        {(!lines.is_empty()).then(|| view! {
            <section class="sheet" aria-labelledby="odd"><h2 id="odd">"What was odd"</h2><ul class="list">{lines}</ul></section>
        })}
    }
}

#[component]
fn Close(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let to = RwSignal::new(String::new());
    let note = RwSignal::new(String::new());
    let complete = is_complete(&job);
    let mut lacks: Vec<String> = Vec::new();
    if !job.remaining.is_empty() {
        lacks.push("steps are still to be done".to_owned());
    }
    if job.left_for_next().next().is_some() {
        lacks.push("a task is left for the next visit".to_owned());
    }
    if !tally(&job).unaccounted().is_empty() {
        lacks.push("the tally is not zero".to_owned());
    }
    if job.failed().next().is_some() {
        lacks.push("a check did not pass".to_owned());
    }
    if job
        .tasks
        .iter()
        .any(|task| task.state == TaskProgress::Dropped)
        && complete
    {
        lacks.push("a task was dropped; say so in the note".to_owned());
    }
    let id = StoredValue::new(id);
    let close = move |outcome| {
        let said = note.get_untracked().trim().to_owned();
        let person = to.get_untracked().trim().to_owned();
        let mut whats = Vec::new();
        if !person.is_empty() {
            whats.push(What::HandedOver {
                to: person,
                note: String::new(),
            });
        }
        whats.push(What::Closed {
            outcome,
            note: said,
        });
        id.with_value(|id| app.act(id, whats, || {}));
    };
    view! {
        <section class="sheet lead" aria-labelledby="close">
            <h2 id="close">"Close the job"</h2>
            <label class="field">
                <span>"Handed over to"</span>
                <input type="text" autocomplete="off" on:input=move |event| to.set(event_target_value(&event))/>
            </label>
            <label class="field">
                <span>"Note: what is still open, what the next visit must bring"</span>
                <textarea rows="3" on:input=move |event| note.set(event_target_value(&event))></textarea>
            </label>
            {(!lacks.is_empty()).then(|| view! { <p><strong>{format!("Mind: {}.", lacks.join("; "))}</strong></p> })}
            <button type="button" class="key wide tall" prop:disabled=move || !complete || app.busy.get()
                on:click=move |_| close(Outcome::Complete)>"Complete"</button>
            <button type="button" class="wide" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::AnotherVisit)>"Another visit is needed"</button>
            <button type="button" class="wide quiet" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::LeftOpen)>"The unit is left open or out of use"</button>
            <button type="button" class="wide quiet" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::CalledOff)>"Called off: nothing was done"</button>
        </section>
    }
}

/// Whether nothing forbids to call it complete.
fn is_complete(job: &Job) -> bool {
    let left_open = |task: &TaskState| task.state == TaskProgress::LeftOpen;
    job.remaining.is_empty()
        && !job.tasks.iter().any(left_open)
        && tally(job).unaccounted().is_empty()
        && job.failed().next().is_none()
}

/// Save or share.
#[component]
fn Out(id: String) -> impl IntoView {
    let app = app();
    let id = StoredValue::new(id);
    let log = move || id.with_value(|id| app.log(id));
    let share = move |_| {
        let Some(log) = log() else { return };
        let job = crate::job::fold(&log);
        let (name, text) = (report::file_name(&job), report::report(&job));
        share_text(app, "Lidoff job", &name, "text/plain", &text);
    };
    let save = move |_| {
        let Some(log) = log() else { return };
        save_job(app, &log);
    };
    view! {
        <div class="row">
            <button type="button" on:click=share>"Share the report"</button>
            <button type="button" on:click=save>"Save the job to a file"</button>
        </div>
    }
}

/// Shares a text as a file, and tells what became of it where that is not to be
/// seen.
pub fn share_text(app: App, title: &str, name: &str, mime: &str, text: &str) {
    let sent = files::share(title, name, mime, text);
    spawn_local(async move {
        match sent.await {
            Ok(Shared::Sent | Shared::Saved | Shared::Cancelled) => {}
            Ok(Shared::Copied) => app.tell(false, "It is on the clipboard."),
            Err(error) => app.tell(true, error.to_string()),
        }
    });
}

/// Saves a job to a file of its own.
pub fn save_job(app: App, log: &Log) {
    let (name, text) = job_document::job_document(log);
    if let Err(error) = files::save(&name, "application/json", &text) {
        app.tell(true, error.to_string());
    }
}
