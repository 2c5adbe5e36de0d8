//! Wrap-up: checks, tally to zero, what was done and how long it took; then the
//! job is closed, and its report goes where it is needed.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::screens::of_job::of_job;
use crate::service::files;
use crate::service::photos::photos;
use crate::share::{save_job, share_text};
use crate::slice::{OpenJob, Slice};
use crate::state::{App, app};
use crate::widgets::photos::Photos;
use crate::widgets::profile::JobProfile;
use crate::widgets::reading::limits;
use crate::widgets::rows::{When, rows};
use crate::widgets::why::show_reason;
use lidoff_app_core::display::{capitalize, format_clock, format_duration, job_title};
use lidoff_app_core::route::{Page, Route};
use lidoff_catalog::format::Reading;
use lidoff_i18n::{localize, number, plain, tr};
use lidoff_job::fold::{ReadingTaken, TaskProgress, TaskState};
use lidoff_job::tally::Unaccounted;
use lidoff_job::{EventKind, Job, JobPhase, Log, Outcome, Status, Taken, tally};
use lidoff_report::exchange::page::{self, Picture};
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
            <h1 tabindex="-1">{heading}</h1>
            <p class="soft">{move || title.get()}</p>
            <OutcomeSheet job/>
            <StepsLeft job/>
            <TallySheet job is_open/>
            <Tasks job/>
            <Checks job/>
            <section class="sheet" aria-labelledby="times">
                <h2 id="times">{tr!("Actual and estimated time")}</h2>
                <Times job/>
                <Phases job/>
                <JobProfile job why=show_reason/>
            </section>
            <Findings job/>
            <Photos job/>
            <When is=is_open><Close job/></When>
            <Out job/>
        </div>
    }
}

/// How the job ended; nothing while it is open.
#[component]
fn OutcomeSheet(job: OpenJob) -> impl IntoView {
    let outcome = job.slice(|job| match &job.status {
        Status::Closed { outcome, note } => Some((*outcome, note.clone())),
        _ => None,
    });
    move || {
        outcome.get().map(|(outcome, note)| {
            view! {
                <section class="sheet lead" aria-label=tr!("Outcome")>
                    <p class="big-number">{capitalize(&localize(outcome.name()))}</p>
                    {(!note.is_empty()).then(|| view! { <p>{note.clone()}</p> })}
                </section>
            }
        })
    }
}

/// How many steps are still to do; nothing once there are none, or the job is closed.
#[component]
fn StepsLeft(job: OpenJob) -> impl IntoView {
    let left = job.slice(|job| match job.status {
        Status::Closed { .. } => 0,
        _ => job.remaining.len(),
    });
    view! {
        <When is=Signal::derive(move || left.get() != 0)>
            <section class="sheet lead" aria-label=tr!("Still to do")>
                <p><strong>{move || tr!("One step is still to do." | "{n} steps are still to do." % left.get())}</strong></p>
                <a class="button" href=Route::Job(job.id(), Page::Step).href()>{tr!("Carry on")}</a>
            </section>
        </When>
    }
}

#[component]
fn Times(job: OpenJob) -> impl IntoView {
    let times = job.slice(|job| {
        let planned_s: f64 = job.done.iter().map(|done| done.step.expected_s()).sum();
        (job.worked_ms as f64 / 1000.0, planned_s)
    });
    view! {
        <dl class="facts">
            <div><dt>{tr!("Actual time")}</dt><dd>{move || format_duration(times.get().0)}</dd></div>
            <div><dt>{tr!("Estimate for these steps")}</dt><dd>{move || format_duration(times.get().1)}</dd></div>
            <div><dt>{tr!("Pace")}</dt><dd>{move || times.with(|(worked_s, planned_s)| pace(*worked_s, *planned_s))}</dd></div>
        </dl>
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
fn TallySheet(job: OpenJob, is_open: Slice<bool>) -> impl IntoView {
    let open = job.slice(|job| tally(job).unaccounted());
    let empty = job.slice(|job| tally(job).left_empty());
    let reasons = job.slice(|job| report::reasons(job, &tally(job)));
    let is_zero = move || open.with(Vec::is_empty);
    let said = move || {
        if reasons.with(Vec::is_empty) {
            tr!("Zero: everything taken out is accounted for.")
        } else {
            tr!("Accounted for, with the reasons below.")
        }
    };
    view! {
        <section class="sheet" class:lead=move || !is_zero() aria-labelledby="tally">
            <h2 id="tally">{tr!("Tally")}</h2>
            <When is=Signal::derive(is_zero)><p><strong>"✓ "{said}</strong></p></When>
            <ul class="list">
                {rows(move || open.get(), Unaccounted::words, move |one| view! { <Open job one is_open/> })}
            </ul>
            <SubList title=tr!("Places left empty") lines=empty/>
            <SubList title=tr!("Reasons given") lines=reasons/>
        </section>
    }
}

/// Lines under a small title; nothing where there are none.
#[component]
fn SubList(title: String, lines: Slice<Vec<String>>) -> impl IntoView {
    let title = StoredValue::new(title);
    view! {
        <When is=Signal::derive(move || lines.with(|lines| !lines.is_empty()))>
            <h3>{title.get_value()}</h3>
            <ul class="list">{rows(move || lines.get(), Clone::clone, |line| view! { <li>{line}</li> })}</ul>
        </When>
    }
}

/// Something that is not accounted for, and a way to say why.
#[component]
fn Open(job: OpenJob, one: Unaccounted, is_open: Slice<bool>) -> impl IntoView {
    let words = one.words();
    let one = StoredValue::new(one);
    view! {
        <li class="stack">
            <p><strong>"○ "{words}</strong></p>
            <When is=is_open><ReasonForm job one/></When>
        </li>
    }
}

#[component]
fn ReasonForm(job: OpenJob, one: StoredValue<Unaccounted>) -> impl IntoView {
    let app = app();
    let typed = RwSignal::new(String::new());
    let reason = move || typed.with(|typed| typed.trim().to_owned());
    view! {
        <form class="stack" on:submit=move |event| {
            event.prevent_default();
            let reason = reason();
            if !reason.is_empty() {
                job.record(one.with_value(|one| one.because(reason)));
            }
        }>
            <label class="field">
                <span>{tr!("Why?")}</span>
                <input type="text" autocomplete="off" on:input=move |event| typed.set(event_target_value(&event))/>
            </label>
            <button type="submit" prop:disabled=move || reason().is_empty() || app.busy.get()>{tr!("Save the reason")}</button>
        </form>
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
        view! { <li class="row apart"><span>{task.words()}</span><span>{state}</span></li> }
    };
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">{tr!("Tasks")}</h2>
            <ul class="list">
                {rows(move || tasks.get(), |one| (one.task.words(), one.state as u8), row)}
            </ul>
        </section>
    }
}

/// A check as it is listed: the reading, and what was said when a failure was kept.
type Check = (ReadingTaken, Option<String>);

fn checks(job: &Job) -> Vec<Check> {
    let readings = job.readings.iter().map(|reading| {
        let kept = job.failure_kept(reading.step);
        let kept = kept.filter(|_| reading.passed == Some(false));
        (reading.clone(), kept.cloned())
    });
    readings.collect()
}

#[component]
fn Checks(job: OpenJob) -> impl IntoView {
    let checks = job.slice(checks);
    let key = |(reading, kept): &Check| (reading.event, reading.passed, kept.clone());
    view! {
        <When is=Signal::derive(move || checks.with(|checks| !checks.is_empty()))>
            <section class="sheet" aria-labelledby="checks">
                <h2 id="checks">{tr!("Checks")}</h2>
                <ul class="list">
                    {rows(move || checks.get(), key, |check| view! { <CheckRow check/> })}
                </ul>
            </section>
        </When>
    }
}

#[component]
fn CheckRow(check: Check) -> impl IntoView {
    let (reading, kept) = check;
    let (what, unit) = match &reading.asked {
        Some(Reading::Value { what, unit, .. }) => {
            (localize(what).into_owned(), format!(" {}", localize(unit)))
        }
        Some(Reading::Seen(what)) => (localize(what).into_owned(), String::new()),
        None => (tr!("A check that is no longer in the plan"), String::new()),
    };
    let taken = match reading.taken {
        Taken::Value(value) => format!("{}{unit}", plain(value)),
        Taken::Seen(true) => tr!("yes"),
        Taken::Seen(false) => tr!("no"),
    };
    let mark = match reading.passed {
        Some(true) => tr!("✓ passed"),
        Some(false) => tr!("✗ failed"),
        None => tr!("noted"),
    };
    let kept = kept.map(|note| {
        if note.is_empty() {
            tr!("not corrected")
        } else {
            tr!("not corrected: {note}", note = note)
        }
    });
    let limits = match &reading.asked {
        Some(Reading::Value {
            low, high, unit, ..
        }) => Some(limits(*low, *high, unit)),
        _ => None,
    };
    view! {
        <li>
            <p class="row apart"><span>{what}</span><strong class="num">{format!("{taken}, {mark}")}</strong></p>
            {limits.map(|limits| view! { <p class="soft small">{tr!("Should be: {limits}", limits = limits)}</p> })}
            {kept.map(|kept| view! { <p>{kept}</p> })}
        </li>
    }
}

/// A phase: how many steps of it are done, what they should have taken and what they
/// took, ms.
type PhaseTimes = (JobPhase, usize, i64, i64);

fn phase_times(job: &Job) -> Vec<PhaseTimes> {
    let of_phase = |phase| {
        let steps = || job.done.iter().filter(move |done| done.step.phase == phase);
        let many = steps().count();
        let planned_s: f64 = steps().map(|done| done.step.expected_s()).sum();
        let actual_ms: i64 = steps().map(|done| done.work_ms).sum();
        (many > 0).then_some((phase, many, (planned_s * 1000.0) as i64, actual_ms))
    };
    JobPhase::ALL.into_iter().filter_map(of_phase).collect()
}

#[component]
fn Phases(job: OpenJob) -> impl IntoView {
    let times = job.slice(phase_times);
    let row = |(phase, many, planned_ms, actual_ms): PhaseTimes| {
        view! {
            <tr>
                <td>{capitalize(&localize(phase.name()))}</td>
                <td>{many}</td>
                <td>{format_clock(planned_ms)}</td>
                <td>{format_clock(actual_ms)}</td>
            </tr>
        }
    };
    view! {
        <div class="scroll">
            <table>
                <thead><tr><th>{tr!("Phase")}</th><th>{tr!("Steps")}</th><th>{tr!("Plan")}</th><th>{tr!("Actual")}</th></tr></thead>
                <tbody>{rows(move || times.get(), Clone::clone, row)}</tbody>
            </table>
        </div>
    }
}

#[component]
fn Findings(job: OpenJob) -> impl IntoView {
    let found = job.slice(report::found);
    let notes = job.slice(|job| job.notes.iter().map(|note| note.text.clone()).collect());
    let author = job.slice(|job| {
        let notes = job.catalog_notes.iter();
        notes.map(|note| note.text.clone()).collect()
    });
    let irregular = job.slice(|job| {
        let findings = job.findings.iter();
        findings.map(|one| one.trouble.to_string()).collect()
    });
    view! {
        <Lines id="found" title=tr!("Found during the job") lines=found/>
        <Lines id="notes" title=tr!("Notes") lines=notes/>
        <Lines id="author" title=tr!("For the catalog author") lines=author/>
        <Lines id="odd" title=tr!("Irregularities") lines=irregular/>
    }
}

/// Lines under a title; nothing where there are none.
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

/// What is still missing before the job can be closed as complete, or is to be explained.
fn lacks(job: &Job) -> Vec<String> {
    let mut lacks: Vec<String> = Vec::new();
    if !job.remaining.is_empty() {
        lacks.push(tr!("some steps are still to do"));
    }
    if job.left_for_next().next().is_some() {
        lacks.push(tr!("a task is left for the next visit"));
    }
    lacks.extend(tally(job).unaccounted().iter().map(Unaccounted::words));
    if job.failed().next().is_some() {
        lacks.push(tr!("a check failed"));
    }
    let dropped = |task: &TaskState| task.state == TaskProgress::Dropped;
    if job.tasks.iter().any(dropped) && is_complete(job) {
        lacks.push(tr!("a task was dropped: explain it in the note"));
    }
    lacks
}

#[component]
fn Close(job: OpenJob) -> impl IntoView {
    let app = app();
    let to = RwSignal::new(String::new());
    let note = RwSignal::new(String::new());
    let complete = job.slice(is_complete);
    let lacks = job.slice(lacks);
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
            <button type="button" class="key wide tall" prop:disabled=move || !complete.get() || app.busy.get()
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
fn Out(job: OpenJob) -> impl IntoView {
    let app = app();
    let log = move || untrack(|| app.log(&job.id()));
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
            <button type="button" class="wide" on:click=page>{tr!("Save the report with photos")}</button>
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
