//! Wrap-up: checks, tally to zero, what was done and how long it took; then the
//! job is closed, and its report goes where it is needed.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::screens::of_job::of_job;
use crate::screens::today::name;
use crate::service::files::{self, Shared};
use crate::service::photos::photos;
use crate::state::{App, app};
use crate::widgets::photos::Photos;
use crate::widgets::profile::ProfilePicture;
use crate::widgets::reading::limits;
use lidoff_app_core::planning::profile;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::{about, clock, sentence};
use lidoff_catalog::format::Reading;
use lidoff_i18n::{localize, number, plain, tr};
use lidoff_job::fold::{TaskProgress, TaskState};
use lidoff_job::tally::Unaccounted;
use lidoff_job::{EventKind, Job, JobPhase, Log, Outcome, Status, Taken, tally};
use lidoff_report::exchange::page::{self, Picture};
use lidoff_report::exchange::{job_document, report};

/// The screen.
#[component]
pub fn WrapUp(job: String) -> impl IntoView {
    of_job(job, tr!("Wrap-up"), |id, job| {
        view! { <Shown id job/> }.into_any()
    })
}

#[component]
fn Shown(id: String, job: Arc<Job>) -> impl IntoView {
    let closed = matches!(job.status, Status::Closed { .. });
    let worked_s = job.worked_ms as f64 / 1000.0;
    let planned_s: f64 = job.done.iter().map(|done| done.step.expected_s()).sum();
    let outcome = match &job.status {
        Status::Closed { outcome, note } => {
            Some((sentence(&localize(outcome.name())), note.clone()))
        }
        _ => None,
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{if closed { tr!("Closed") } else { tr!("Wrap-up") }}</h1>
            <p class="soft">{name(&job)}</p>
            {outcome.map(|(outcome, note)| view! {
                <section class="sheet lead" aria-label=tr!("Outcome")>
                    <p class="big-number">{outcome}</p>
                    {(!note.is_empty()).then(|| view! { <p>{note.clone()}</p> })}
                </section>
            })}
            {(!closed && !job.remaining.is_empty()).then(|| view! {
                <section class="sheet lead" aria-label=tr!("Still to be done")>
                    <p><strong>{tr!("one step is still to be done." | "{n} steps are still to be done." % job.remaining.len())}</strong></p>
                    <a class="button" href=Route::Job(id.clone(), Page::Step).href()>{tr!("Carry on")}</a>
                </section>
            })}
            <TallySheet id=id.clone() job=job.clone() closed/>
            <Tasks job=job.clone()/>
            <Checks job=job.clone()/>
            <section class="sheet" aria-labelledby="times">
                <h2 id="times">{tr!("Actual against estimated")}</h2>
                <dl class="facts">
                    <div><dt>{tr!("It took")}</dt><dd>{about(worked_s)}</dd></div>
                    <div><dt>{tr!("Planned for these steps")}</dt><dd>{about(planned_s)}</dd></div>
                    <div><dt>{tr!("Pace")}</dt><dd>{pace(worked_s, planned_s)}</dd></div>
                </dl>
                <Phases job=job.clone()/>
                <ProfilePicture profile=profile(&job) leave_at_s=None job=job.clone()/>
            </section>
            <Findings job=job.clone()/>
            <Photos id=id.clone() job=job.clone()/>
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
        tr!("{} × the estimate", number(actual / planned, 2))
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
    let reasons = report::reasons(&job, &tally);
    let said = if reasons.is_empty() {
        tr!("Zero: everything that came out is accounted for.")
    } else {
        tr!("Accounted for, with the reasons below.")
    };
    let reasons: Vec<_> = reasons
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect();
    view! {
        <section class="sheet" class:lead=!zero aria-labelledby="tally">
            <h2 id="tally">{tr!("Tally")}</h2>
            {zero.then(|| view! { <p><strong>"✓ "{said}</strong></p> })}
            <ul class="list">{rows}</ul>
            {(!empty.is_empty()).then(|| view! { <h3>{tr!("Places left empty")}</h3><ul class="list">{empty}</ul> })}
            {(!reasons.is_empty()).then(|| view! { <h3>{tr!("Reasons given")}</h3><ul class="list">{reasons}</ul> })}
        </section>
    }
}

/// Something that is not accounted for, and a way to say why.
#[component]
fn Open(id: String, one: Unaccounted, closed: bool) -> impl IntoView {
    let app = app();
    let why = RwSignal::new(String::new());
    let said = move || why.with(|why| why.trim().to_owned());
    let words = one.describe();
    let form = (!closed).then(|| {
        view! {
            <form class="stack" on:submit=move |event| {
                event.prevent_default();
                let note = said();
                if !note.is_empty() {
                    app.act(&id, vec![one.because(note)], || {});
                }
            }>
                <label class="field">
                    <span>{tr!("Why?")}</span>
                    <input type="text" autocomplete="off" on:input=move |event| why.set(event_target_value(&event))/>
                </label>
                <button type="submit" prop:disabled=move || said().is_empty() || app.busy.get()>{tr!("Keep the reason")}</button>
            </form>
        }
    });
    view! { <li class="stack"><p><strong>"○ "{words}</strong></p>{form}</li> }
}

#[component]
fn Tasks(job: Arc<Job>) -> impl IntoView {
    let rows: Vec<_> = job
        .tasks
        .iter()
        .map(|task| {
            let said = match task.state {
                TaskProgress::Open => tr!("○ not done"),
                TaskProgress::Done => tr!("✓ done"),
                TaskProgress::Dropped => tr!("– dropped"),
                TaskProgress::LeftOpen => tr!("○ left for the next visit"),
            };
            view! { <li class="row apart"><span>{task.task.describe()}</span><span>{said}</span></li> }
        })
        .collect();
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">{tr!("Tasks")}</h2>
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
                Some(Reading::Value { what, unit, .. }) => (localize(what).into_owned(), format!(" {}", localize(unit))),
                Some(Reading::Seen(what)) => (localize(what).into_owned(), String::new()),
                None => (tr!("A check that the plan no longer has"), String::new()),
            };
            let taken = match reading.taken {
                Taken::Value(value) => format!("{}{unit}", plain(value)),
                Taken::Seen(true) => tr!("yes"),
                Taken::Seen(false) => tr!("no"),
            };
            let mark = match reading.passed {
                Some(true) => tr!("✓ passed"),
                Some(false) => tr!("✗ not passed"),
                None => tr!("noted"),
            };
            let kept = job.failure_kept(reading.step).filter(|_| reading.passed == Some(false));
            let kept = kept.map(|note| if note.is_empty() {
                tr!("left at that")
            } else {
                tr!("left at that: {note}", note = note)
            });
            let limits = match &reading.asked {
                Some(Reading::Value { low, high, unit, .. }) => Some(limits(*low, *high, unit)),
                _ => None,
            };
            view! {
                <li>
                    <p class="row apart"><span>{what}</span><strong class="num">{format!("{taken}, {mark}")}</strong></p>
                    {limits.map(|limits| view! { <p class="soft small">{tr!("It should be: {limits}", limits = limits)}</p> })}
                    {kept.map(|kept| view! { <p>{kept}</p> })}
                </li>
            }
        })
        .collect();
    (!rows.is_empty()).then(|| {
        view! {
            <section class="sheet" aria-labelledby="checks">
                <h2 id="checks">{tr!("Checks")}</h2>
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
                        <td>{sentence(&localize(phase.name()))}</td>
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
                <thead><tr><th>{tr!("Phase")}</th><th>{tr!("Steps")}</th><th>{tr!("Plan")}</th><th>{tr!("Took")}</th></tr></thead>
                <tbody>{rows}</tbody>
            </table>
        </div>
    }
}

#[component]
fn Findings(job: Arc<Job>) -> impl IntoView {
    let odd = job
        .findings
        .iter()
        .map(|finding| finding.irregularity.to_string());
    let notes = job.notes.iter().map(|note| note.text.clone());
    let author = job.catalog_notes.iter().map(|note| note.text.clone());
    view! {
        <Lines id="found" title=tr!("Found on the way") lines=report::problems(&job)/>
        <Lines id="notes" title=tr!("Notes") lines=notes.collect()/>
        <Lines id="author" title=tr!("For the catalog’s author") lines=author.collect()/>
        <Lines id="odd" title=tr!("What was odd") lines=odd.collect()/>
    }
}

/// Lines under a title; nothing where there are none.
#[component]
fn Lines(id: &'static str, title: String, lines: Vec<String>) -> impl IntoView {
    (!lines.is_empty()).then(|| {
        let rows: Vec<_> = lines.into_iter().map(|line| view! { <li>{line}</li> }).collect();
        view! {
            <section class="sheet" aria-labelledby=id><h2 id=id>{title}</h2><ul class="list">{rows}</ul></section>
        }
    })
}

#[component]
fn Close(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let to = RwSignal::new(String::new());
    let note = RwSignal::new(String::new());
    let complete = is_complete(&job);
    let mut lacks: Vec<String> = Vec::new();
    if !job.remaining.is_empty() {
        lacks.push(tr!("steps are still to be done"));
    }
    if job.left_for_next().next().is_some() {
        lacks.push(tr!("a task is left for the next visit"));
    }
    let open = tally(&job).unaccounted();
    if !open.is_empty() {
        lacks.extend(open.iter().map(Unaccounted::describe));
    }
    if job.failed().next().is_some() {
        lacks.push(tr!("a check did not pass"));
    }
    if job
        .tasks
        .iter()
        .any(|task| task.state == TaskProgress::Dropped)
        && complete
    {
        lacks.push(tr!("a task was dropped; say so in the note"));
    }
    let none = lacks.is_empty();
    let lacks: Vec<_> = lacks
        .into_iter()
        .map(|why| view! { <li>{why}</li> })
        .collect();
    let id = StoredValue::new(id);
    let close = move |outcome| {
        let said = note.get_untracked().trim().to_owned();
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
            note: said,
        });
        id.with_value(|id| app.act(id, kinds, || {}));
    };
    view! {
        <section class="sheet lead" aria-labelledby="close">
            <h2 id="close">{tr!("Close the job")}</h2>
            <label class="field">
                <span>{tr!("Handed over to")}</span>
                <input type="text" autocomplete="off" on:input=move |event| to.set(event_target_value(&event))/>
            </label>
            <label class="field">
                <span>{tr!("Note: what is still open, what the next visit must bring")}</span>
                <textarea rows="3" on:input=move |event| note.set(event_target_value(&event))></textarea>
            </label>
            {(!none).then(|| view! { <p><strong>{tr!("Not complete, because:")}</strong></p><ul class="marked">{lacks}</ul> })}
            <button type="button" class="key wide tall" prop:disabled=move || !complete || app.busy.get()
                on:click=move |_| close(Outcome::Complete)>{tr!("Complete")}</button>
            <button type="button" class="wide" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::AnotherVisit)>{tr!("Another visit is needed")}</button>
            <button type="button" class="wide quiet" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::LeftOpen)>{tr!("The unit is left open or out of use")}</button>
            <button type="button" class="wide quiet" prop:disabled=move || app.busy.get()
                on:click=move |_| close(Outcome::CalledOff)>{tr!("Called off: nothing was done")}</button>
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
        let job = lidoff_job::fold(&log);
        let (name, text) = (report::file_name(&job), report::report(&job));
        share_text(app, &tr!("Lidoff job"), &name, "text/plain", &text);
    };
    let save = move |_| {
        let Some(log) = log() else { return };
        save_job(app, &log);
    };
    let page = move |_| {
        let Some(log) = log() else { return };
        spawn_local(save_page(app, log));
    };
    view! {
        <div class="stack">
            <button type="button" class="wide" on:click=share>{tr!("Share the report")}</button>
            <button type="button" class="wide" on:click=page>{tr!("Save the report as a page, with its photos")}</button>
            <button type="button" class="wide" on:click=save>{tr!("Save the job to a file")}</button>
        </div>
    }
}

/// Saves the report as a page that holds its photos.
async fn save_page(app: App, log: Arc<Log>) {
    let job = lidoff_job::fold(&log);
    let found = if job.photos.is_empty() {
        Ok(Vec::new())
    } else {
        photos().of_job(log.job()).await
    };
    let pictures = match found {
        Ok(all) => all,
        Err(error) => {
            // The page says of each that it is elsewhere.
            app.tell(true, error.to_string());
            Vec::new()
        }
    };
    let pictures: Vec<Picture> = pictures
        .into_iter()
        .map(|(name, data)| Picture { name, data })
        .collect();
    let text = page::page(&job, &pictures);
    if let Err(error) = files::save(&page::page_name(&job), "text/html", &text) {
        app.tell(true, error.to_string());
    }
}

/// Shares a text as a file, and tells what became of it where that is not to be
/// seen.
pub fn share_text(app: App, title: &str, name: &str, mime: &str, text: &str) {
    let sent = files::share(title, name, mime, text);
    spawn_local(async move {
        match sent.await {
            Ok(Shared::Sent | Shared::Saved | Shared::Cancelled) => {}
            Ok(Shared::Copied) => app.tell(false, tr!("It is on the clipboard.")),
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
