//! The plan of a job and its progress.

use leptos::prelude::*;

use crate::screens::change::Change;
use crate::screens::of_job::of_job;
use crate::service::clock;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::add_task::AddTask;
use crate::widgets::dynamic::{When, rebuilt, rows, text};
use crate::widgets::offer::Offer;
use crate::widgets::outlook::{Outlook, close_up_time, turn_back_mark};
use crate::widgets::power::PowerLine;
use crate::widgets::profile::JobProfile;
use crate::widgets::sheet::Sheet;
use crate::widgets::why::{Why, show_reason};
use lidoff_app_core::display::{capitalize, format_clock, format_duration, job_title};
use lidoff_app_core::people::{PeopleSpan, people_spans};
use lidoff_app_core::planning::{paced_s, proof_words};
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::speech::demand_words;
use lidoff_catalog::format::Demand;
use lidoff_i18n::{localize, tr};
use lidoff_job::fold::{TaskProgress, TaskState};
use lidoff_job::outlook::{forecast, pace};
use lidoff_job::{EventKind, Job, JobPhase, NamedTask, PlannedStep, Status};

/// The screen.
#[component]
pub fn PlanScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Plan"), |job| view! { <Plan job/> }.into_any())
}

#[component]
fn Plan(job: OpenJob) -> impl IntoView {
    let title = job.slice(job_title);
    let is_open = job.slice(|job| !matches!(job.status, Status::Closed { .. }));
    let closing = close_up_time(job);
    let turn_at_s = turn_back_mark(job, closing);
    let proof = job.slice(|job| match &job.plan {
        Some(_) if job.is_plan_stale() => Some(tr!("The plan no longer fits. See the step.")),
        plan => plan.as_ref().map(proof_words),
    });
    view! {
        <div class="screen with-foot">
            <h1 tabindex="-1">{text(move || title.get())}</h1>
            <section class="sheet" aria-label=tr!("Job status")>
                <JobProfile job turn_at_s why=show_reason/>
                <TimeLeft job/>
                <PowerLine job/>
                <p class="soft small">{text(move || proof.get().unwrap_or_default())}</p>
            </section>
            <When is=is_open><Outlook job closing whole=true/></When>
            <When is=is_open><People job/></When>
            <Tasks job is_open/>
            <When is=is_open><Change job/></When>
            <Steps job/>
        </div>
        <When is=is_open><Foot job/></When>
    }
}

/// Time worked and time left, as of the last event.
#[component]
fn TimeLeft(job: OpenJob) -> impl IntoView {
    let app = app();
    let facts = Slice::new(move || {
        let (job, now) = (job.get(), app.now.get_untracked());
        let left = forecast(&job, &now).band();
        let elapsed_s = job.elapsed_ms(&now) as f64 / 1000.0;
        [elapsed_s, job.left_s(), left.p80_s, left.p95_s].map(format_duration)
    });
    let fact = move |nth: usize| text(move || facts.with(|facts| facts[nth].clone()));
    view! {
        <dl class="facts">
            <div><dt>{tr!("Worked so far")}</dt><dd>{fact(0)}</dd></div>
            <div><dt>{tr!("Planned time left")}</dt><dd>{fact(1)}</dd></div>
            <div><dt>{tr!("Left (8\u{a0}in\u{a0}10)")}</dt><dd>{fact(2)}</dd></div>
            <div><dt>{tr!("Left (19\u{a0}in\u{a0}20)")}</dt><dd>{fact(3)}</dd></div>
        </dl>
    }
}

/// When more than one person is needed, by the clock.
#[component]
fn People(job: OpenJob) -> impl IntoView {
    let app = app();
    let lines = Slice::new(move || {
        let (job, now) = (job.get(), app.now.get_untracked());
        let pace = pace(&job).median();
        let steps = job.remaining.iter();
        let spans = people_spans(steps.map(|step| (step, paced_s(step, pace))));
        let line = |span: &PeopleSpan| {
            let begins_ms = now.wall_ms + (span.after_s * 1000.0) as i64;
            let at = clock::time_of_day(begins_ms);
            format!(
                "{}, {}",
                span.describe(),
                tr!("from about {time}", time = at)
            )
        };
        spans.iter().map(line).collect::<Vec<_>>()
    });
    view! {
        <When is=Signal::derive(move || lines.with(|lines| !lines.is_empty()))>
            <section class="sheet" aria-labelledby="people">
                <h2 id="people">{tr!("People")}</h2>
                <ul class="list">{rows(move || lines.get(), Clone::clone, |line| view! { <li>{line}</li> })}</ul>
            </section>
        </When>
    }
}

/// The next action on the job.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Next {
    Begin,
    CarryOn,
    WrapUp,
}

#[component]
fn Foot(job: OpenJob) -> impl IntoView {
    let next = job.slice(
        |job| match (job.remaining.is_empty(), job.done.is_empty()) {
            (true, _) => Next::WrapUp,
            (false, true) => Next::Begin,
            (false, false) => Next::CarryOn,
        },
    );
    let href = move |page| Route::Job(job.id(), page).href();
    let link = move || {
        let (page, words) = match next.get() {
            Next::Begin => (Page::Step, tr!("Begin")),
            Next::CarryOn => (Page::Step, tr!("Carry on")),
            Next::WrapUp => (Page::WrapUp, tr!("Wrap up")),
        };
        view! { <a class="button key" href=href(page)>{words}</a> }
    };
    view! {
        <div class="foot">
            <div class="two">
                <a class="button" href=href(Page::Tray)>{tr!("Tray")}</a>
                {rebuilt(link)}
            </div>
        </div>
    }
}

#[component]
fn Tasks(job: OpenJob, is_open: Slice<bool>) -> impl IntoView {
    let adding = RwSignal::new(false);
    let dropping = RwSignal::new(false);
    let doomed = RwSignal::new(None);
    let tasks = job.slice(|job| job.tasks.clone());
    let can_drop = job.slice(|job| job.open_tasks().count() > 1);
    let row = move |TaskState { task, state, .. }: TaskState| {
        let (mark, state_text) = match state {
            TaskProgress::Open => ("○", tr!("still to do")),
            TaskProgress::Done => ("✓", tr!("done")),
            TaskProgress::Dropped => ("–", tr!("dropped")),
            TaskProgress::LeftOpen => ("○", tr!("left for the next visit")),
        };
        let words = task.describe();
        let (dropped, again) = (StoredValue::new(task.clone()), StoredValue::new(task));
        let can_drop = move || state == TaskProgress::Open && can_drop.get() && is_open.get();
        let can_resume = move || state == TaskProgress::LeftOpen && is_open.get();
        view! {
            <li class="row apart">
                <span>
                    <span aria-hidden="true">{mark}" "</span>
                    {words}
                    <span class="soft">{format!(", {state_text}")}</span>
                </span>
                <When is=Signal::derive(can_drop)>
                    <button type="button" class="quiet" on:click=move |_| {
                        doomed.set(Some(dropped.get_value()));
                        dropping.set(true);
                    }>{tr!("Drop")}</button>
                </When>
                <When is=Signal::derive(can_resume)>
                    <button type="button" class="quiet"
                        on:click=move |_| job.record(EventKind::TaskAdded(again.get_value()))>
                        {tr!("Resume this task")}
                    </button>
                </When>
            </li>
        }
    };
    view! {
        <section class="sheet" aria-labelledby="tasks">
            <h2 id="tasks">{tr!("Tasks")}</h2>
            <ul class="list">
                {rows(move || tasks.get(), |one| (one.task.describe(), one.state as u8), row)}
            </ul>
            <When is=is_open>
                <button type="button" on:click=move |_| adding.set(true)>{tr!("Add a task")}</button>
            </When>
            <AddTask job open=adding/>
            <DropTask job task=doomed open=dropping/>
        </section>
    }
}

/// Drops a task, in a sheet that shows the remaining time without it.
#[component]
fn DropTask(
    job: OpenJob,
    task: RwSignal<Option<NamedTask>>,
    open: RwSignal<bool>,
) -> impl IntoView {
    let offer = move || {
        let task = task.get()?;
        let words = capitalize(&task.describe());
        let kinds = vec![EventKind::TaskDropped(task.task)];
        let left_s = job.get_untracked().left_s();
        Some(view! {
            <h3>{words}</h3>
            <Offer job label=tr!("Drop this task") kinds left_s then=open/>
        })
    };
    view! { <Sheet open title=tr!("Drop a task")>{rebuilt(offer)}</Sheet> }
}

/// A row of the list of steps.
#[derive(Clone, PartialEq)]
struct Row {
    step: PlannedStep,
    /// Its actual time, ms, if it is done.
    actual_ms: Option<i64>,
    /// Whether it is the current step.
    is_here: bool,
    /// Whether it starts an operation: all steps of an operation share one reason.
    has_reason: bool,
}

/// The key of a row: if it changes, the row is drawn again.
type RowKey = (u32, String, Option<i64>, bool, bool, i64, [bool; 2]);

impl Row {
    fn key(&self) -> RowKey {
        let step = &self.step;
        (
            step.number,
            step.action.clone(),
            self.actual_ms,
            self.is_here,
            self.has_reason,
            self.expected_ms(),
            [step.turn, step.tool_change],
        )
    }

    fn expected_ms(&self) -> i64 {
        (self.step.expected_s() * 1000.0) as i64
    }
}

/// Steps of one phase that follow each other.
#[derive(Clone, PartialEq)]
struct Group {
    phase: JobPhase,
    rows: Vec<Row>,
}

impl Group {
    fn is_done(&self) -> bool {
        self.rows.iter().all(|row| row.actual_ms.is_some())
    }

    /// The number of steps and their estimated time.
    fn describe(&self) -> String {
        let planned_s: f64 = self.rows.iter().map(|row| row.step.expected_s()).sum();
        let many = self.rows.len();
        format!(
            "{}, {}",
            tr!("{n} step" | "{n} steps" % many),
            format_duration(planned_s)
        )
    }
}

/// The steps that are done and those to come, phase by phase.
fn groups(job: &Job) -> Vec<Group> {
    let here = job.next().map(|step| step.number);
    let done = job.done.iter().map(|done| (&done.step, Some(done.work_ms)));
    let all = done.chain(job.remaining.iter().map(|step| (step, None)));
    let mut before: Option<&PlannedStep> = None;
    let mut groups: Vec<Group> = Vec::new();
    for (step, actual_ms) in all {
        let row = Row {
            step: step.clone(),
            actual_ms,
            is_here: here == Some(step.number),
            has_reason: step.has_own_reason(before),
        };
        before = Some(step);
        match groups.last_mut() {
            Some(group) if group.phase == step.phase => group.rows.push(row),
            _ => groups.push(Group {
                phase: step.phase,
                rows: vec![row],
            }),
        }
    }
    groups
}

#[component]
fn Steps(job: OpenJob) -> impl IntoView {
    let groups = job.slice(groups);
    let places = move || {
        groups.with(|groups| {
            let phases = groups.iter().map(|group| group.phase);
            phases.enumerate().collect::<Vec<_>>()
        })
    };
    let group = move |(nth, phase): (usize, JobPhase)| {
        let group = Slice::new(move || groups.with(|groups| groups.get(nth).cloned()));
        let starts_open = group.get_untracked().is_some_and(|group| !group.is_done());
        let words =
            move || group.with(|group| group.as_ref().map(Group::describe).unwrap_or_default());
        let steps = move || group.get().map(|group| group.rows).unwrap_or_default();
        view! {
            <details class="sheet" open=starts_open>
                <summary>
                    {capitalize(&localize(phase.name()))}
                    <span class="soft small">{text(words)}</span>
                </summary>
                <ol class="steps">
                    {rows(steps, Row::key, move |row| view! { <StepRow job row/> })}
                </ol>
            </details>
        }
    };
    rows(places, |place| *place, group)
}

#[component]
fn StepRow(job: OpenJob, row: Row) -> impl IntoView {
    let (expected_ms, is_here, is_done) = (row.expected_ms(), row.is_here, row.actual_ms.is_some());
    let step = row.step;
    let time = match row.actual_ms {
        Some(ms) => tr!("{} of {}", format_clock(ms), format_clock(expected_ms)),
        None => format_duration(step.expected_s()),
    };
    let mut changes = Vec::new();
    if step.turn {
        let face = step.face.as_deref();
        changes.extend(face.map(|face| tr!("turn to: {}", localize(face))));
    }
    if step.tool_change {
        let tool = step.tool.as_deref();
        changes.extend(tool.map(|tool| tr!("take: {}", localize(tool))));
    }
    if step.people > 1 {
        changes.push(demand_words(&Demand::People(step.people)));
    }
    let action = localize(&step.action).into_owned();
    let reason_of = row.has_reason.then(|| action.clone());
    view! {
        <li class:done=is_done class:here=is_here aria-current=is_here.then_some("step")>
            <span>{is_done.then(|| view! { <span class="hush">{tr!("Done: ")}</span> })}{action}</span>
            <span class="num soft">{time}</span>
            {(!changes.is_empty()).then(|| view! { <span class="soft">{changes.join(" · ")}</span> })}
            {reason_of.map(|action| view! { <Why job number=step.number action/> })}
        </li>
    }
}
