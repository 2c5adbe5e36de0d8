//! The tasks of a job, with buttons to add, drop and resume them.

use leptos::prelude::*;

use crate::slice::{OpenJob, Slice};
use crate::widgets::add_task::AddTask;
use crate::widgets::dynamic::{When, rebuilt, rows};
use crate::widgets::offer::Offer;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::display::capitalize;
use lidoff_i18n::tr;
use lidoff_job::fold::{TaskProgress, TaskState};
use lidoff_job::{EventKind, NamedTask};

/// The section.
#[component]
pub(super) fn Tasks(job: OpenJob, is_open: Slice<bool>) -> impl IntoView {
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
            <li class="task">
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
