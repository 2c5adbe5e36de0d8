//! The plan of a job and where it stands.

use std::sync::Arc;

use leptos::prelude::*;

use crate::screens::change::Change;
use crate::screens::of_job::of_job;
use crate::screens::today::name;
use crate::state::app;
use crate::widgets::choose_task::{Choice, ChooseTask};
use crate::widgets::offer::Offer;
use crate::widgets::outlook::Outlook;
use crate::widgets::profile::ProfilePicture;
use crate::widgets::sheet::Sheet;
use crate::widgets::why::Why;
use lidoff_app_core::planning::{profile, proof_words};
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::{about, clock, sentence};
use lidoff_i18n::{localize, tr};
use lidoff_job::fold::TaskProgress;
use lidoff_job::outlook::forecast;
use lidoff_job::{EventKind, Job, JobPhase, NamedTask, PlannedStep, Status};

/// The screen.
#[component]
pub fn PlanScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Plan"), |id, job| {
        view! { <Shown id job/> }.into_any()
    })
}

#[component]
fn Shown(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let now = app.now.get_untracked();
    let elapsed_s = job.elapsed_ms(&now) as f64 / 1000.0;
    let left = forecast(&job, &now).band();
    let profile = profile(&job);
    let leave_at_s = job
        .leave_by_ms
        .map(|at| profile.done_s() + (at - now.wall_ms) as f64 / 1000.0);
    let plan = job.plan.clone().unwrap_or_default();
    let closed = matches!(job.status, Status::Closed { .. });
    let turn_at_s = RwSignal::new(None);
    view! {
        <div class="screen with-foot">
            <h1 tabindex="-1">{name(&job)}</h1>
            <section class="sheet" aria-label=tr!("Where the job stands")>
                <ProfilePicture profile leave_at_s turn_at_s job=job.clone()/>
                <dl class="facts">
                    <div><dt>{tr!("Worked so far")}</dt><dd>{about(elapsed_s)}</dd></div>
                    <div><dt>{tr!("Left, as planned")}</dt><dd>{about(job.left_s())}</dd></div>
                    <div><dt>{tr!("Left, 8 of 10")}</dt><dd>{about(left.p80_s)}</dd></div>
                    <div><dt>{tr!("Left, 19 of 20")}</dt><dd>{about(left.p95_s)}</dd></div>
                </dl>
                <p class="soft small">{proof_words(&plan)}</p>
            </section>
            {(!closed).then(|| view! { <Outlook id=id.clone() job=job.clone() whole=true turn_at_s/> })}
            <Tasks id=id.clone() job=job.clone()/>
            {(!closed).then(|| view! { <Change id=id.clone() job=job.clone()/> })}
            <Steps id=id.clone() job=job.clone()/>
        </div>
        {(!closed).then(|| view! {
            <div class="foot">
                <div class="two">
                    <a class="button" href=Route::Job(id.clone(), Page::Tray).href()>{tr!("Tray")}</a>
                    {if job.remaining.is_empty() {
                        view! { <a class="button key" href=Route::Job(id.clone(), Page::WrapUp).href()>{tr!("Wrap up")}</a> }
                    } else {
                        view! { <a class="button key" href=Route::Job(id.clone(), Page::Step).href()>
                            {if job.done.is_empty() { tr!("Begin") } else { tr!("Carry on") }}
                        </a> }
                    }}
                </div>
            </div>
        })}
    }
}

#[component]
fn Tasks(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let adding = RwSignal::new(false);
    let dropping = RwSignal::new(false);
    let doomed = RwSignal::new(None);
    let closed = matches!(job.status, Status::Closed { .. });
    let many_open = job.open_tasks().count();
    let rows: Vec<_> = job
        .tasks
        .iter()
        .map(|task| {
            let (mark, told) = match task.state {
                TaskProgress::Open => ("○", tr!("still to be done")),
                TaskProgress::Done => ("✓", tr!("done")),
                TaskProgress::Dropped => ("–", tr!("dropped")),
                TaskProgress::LeftOpen => ("○", tr!("left for the next visit")),
            };
            let can_drop = task.state == TaskProgress::Open && many_open > 1 && !closed;
            let can_take_up = task.state == TaskProgress::LeftOpen && !closed;
            let dropped = task.task.clone();
            let (same_id, again) = (id.clone(), task.task.clone());
            view! {
                <li class="row apart">
                    <span>
                        <span aria-hidden="true">{mark}" "</span>
                        {task.task.describe()}
                        <span class="soft">{format!(", {told}")}</span>
                    </span>
                    {can_drop.then(|| view! {
                        <button type="button" class="quiet"
                            on:click=move |_| {
                                doomed.set(Some(dropped.clone()));
                                dropping.set(true);
                            }>
                            {tr!("Drop")}
                        </button>
                    })}
                    {can_take_up.then(|| view! {
                        <button type="button" class="quiet"
                            on:click=move |_| app.act(&same_id, vec![EventKind::TaskAdded(again.clone())], || {})>
                            {tr!("Take it up again")}
                        </button>
                    })}
                </li>
            }
        })
        .collect();
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">{tr!("Tasks")}</h2>
            <ul class="list">{rows}</ul>
            {(!closed).then(|| view! {
                <button type="button" on:click=move |_| adding.set(true)>{tr!("Add a task")}</button>
            })}
            <AddTask id=id.clone() job=job.clone() open=adding/>
            <DropTask id=id.clone() job=job.clone() task=doomed open=dropping/>
        </section>
    }
}

/// A task more, in a sheet.
#[component]
pub fn AddTask(id: String, job: Arc<Job>, open: RwSignal<bool>) -> impl IntoView {
    view! {
        <Sheet open title=tr!("Add a task")>
            <ChooseTask id=id.clone() job=job.clone() choice=Choice::More then=open/>
        </Sheet>
    }
}

/// A task less, in a sheet that says what is left then.
#[component]
fn DropTask(
    id: String,
    job: Arc<Job>,
    task: RwSignal<Option<NamedTask>>,
    open: RwSignal<bool>,
) -> impl IntoView {
    let left_s = job.left_s();
    let offer = move || {
        let task = task.get()?;
        let words = sentence(&task.describe());
        let kinds = vec![EventKind::TaskDropped(task.task)];
        Some(view! {
            <h3>{words}</h3>
            <Offer id=id.clone() label=tr!("Drop it") kinds left_s then=open/>
        })
    };
    view! { <Sheet open title=tr!("Drop a task")>{offer.clone()}</Sheet> }
}

/// A step, and what it took (ms) if it is done.
type Timed = (PlannedStep, Option<i64>);

#[component]
fn Steps(id: String, job: Arc<Job>) -> impl IntoView {
    let all: Vec<Timed> = job
        .done
        .iter()
        .map(|done| (done.step.clone(), Some(done.work_ms)))
        .chain(job.remaining.iter().map(|step| (step.clone(), None)))
        .collect();
    let here = job.next().map(|step| step.number);
    // What belongs to one operation has one reason.
    let mut before: Option<PlannedStep> = None;
    let mut groups: Vec<(JobPhase, Vec<(Timed, bool)>)> = Vec::new();
    for timed in all {
        let step = &timed.0;
        let begins = step.has_own_reason(before.as_ref());
        before = Some(step.clone());
        let phase = step.phase;
        let one = (timed, begins);
        match groups.last_mut() {
            Some((of, steps)) if *of == phase => steps.push(one),
            _ => groups.push((phase, vec![one])),
        }
    }
    groups
        .into_iter()
        .map(|(phase, steps)| {
            let planned: f64 = steps.iter().map(|((step, _), _)| step.expected_s()).sum();
            let done = steps.iter().all(|((_, actual), _)| actual.is_some());
            let rows: Vec<_> = steps
                .into_iter()
                .map(|((step, actual), begins)| {
                    let why = begins.then(|| (id.clone(), job.clone()));
                    row(step, actual, here, why)
                })
                .collect();
            view! {
                <details class="sheet" open=!done>
                    <summary>
                        {sentence(&localize(phase.name()))}
                        <span class="soft small">
                            {format!("{}, {}", tr!("{n} step" | "{n} steps" % rows.len()), about(planned))}
                        </span>
                    </summary>
                    <ol class="steps">{rows}</ol>
                </details>
            }
        })
        .collect::<Vec<_>>()
}

fn row(
    step: PlannedStep,
    actual: Option<i64>,
    here: Option<u32>,
    why: Option<(String, Arc<Job>)>,
) -> impl IntoView {
    let now = here == Some(step.number);
    let time = match actual {
        Some(ms) => tr!(
            "{} of {}",
            clock(ms),
            clock((step.expected_s() * 1000.0) as i64)
        ),
        None => about(step.expected_s()),
    };
    let mut changes = Vec::new();
    if step.turn {
        changes.extend(
            step.face
                .clone()
                .map(|face| tr!("turn to: {}", localize(&face))),
        );
    }
    if step.tool_change {
        changes.extend(
            step.tool
                .clone()
                .map(|tool| tr!("take: {}", localize(&tool))),
        );
    }
    view! {
        <li class:done=actual.is_some() class:here=now aria-current=now.then_some("step")>
            <span>{actual.is_some().then(|| view! { <span class="hush">{tr!("Done: ")}</span> })}{localize(&step.action).into_owned()}</span>
            <span class="num soft">{time}</span>
            {(!changes.is_empty()).then(|| view! { <span class="soft">{changes.join(" · ")}</span> })}
            {why.map(|(id, job)| view! { <Why id job number=step.number action=localize(&step.action).into_owned()/> })}
        </li>
    }
}
