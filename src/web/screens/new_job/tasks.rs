//! The tasks on offer, to be ticked.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::form::Form;
use crate::slice::Slice;
use crate::state::app;
use crate::widgets::dynamic::{rows, text};
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_app_core::planning::{self, slowest};
use lidoff_app_core::task_choice::{
    TaskGroup, like_parts, modules_instead, offered_tasks, spare_of,
};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{contains_typed, localize, tr};
use lidoff_job::{NamedTask, TaskRef};

/// The tasks in groups, with a search field.
#[component]
pub(super) fn Tasks(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let find = RwSignal::new(String::new());
    let alike = StoredValue::new(catalog.clone());
    let instead = catalog.clone();
    let listed = catalog.clone();
    let all = Slice::new(move || offered_tasks(&listed, &form.setup()));
    // Drop tasks that the unit no longer offers.
    Effect::new(move |_| {
        let there: Vec<TaskRef> = all.get().into_iter().map(|(task, _)| task.task).collect();
        if form
            .tasks
            .with_untracked(|tasks| tasks.iter().any(|task| !there.contains(task)))
        {
            form.tasks
                .update(|tasks| tasks.retain(|task| there.contains(task)));
        }
    });
    let group = move |which: TaskGroup| {
        let name = which.name();
        let shown = move || {
            let typed = find.get();
            let all = all.get().into_iter();
            all.filter(|(task, group)| {
                *group == which && contains_typed(&localize(&task.name), &typed)
            })
            .map(|(task, _)| task)
            .collect::<Vec<_>>()
        };
        let ticked = move || {
            let tasks = form.tasks.get();
            all.get()
                .iter()
                .filter(|(task, group)| *group == which && tasks.contains(&task.task))
                .count()
        };
        view! {
            <details open=which == TaskGroup::Replace>
                <summary>
                    {localize(name)}
                    <span class="soft small">{move || tr!("{} of {} ticked", ticked(), all.get().iter().filter(|(_, group)| *group == which).count())}</span>
                </summary>
                <fieldset>
                    <legend class="hush">{localize(name)}</legend>
                    {rows(shown, NamedTask::describe, move |task| view! { <TaskRow task form/> })}
                    {(which == TaskGroup::Replace).then(|| view! { <NotSureWhich catalog=alike.get_value() form/> })}
                </fieldset>
            </details>
        }
    };
    view! {
        <label class="field">
            <span>{tr!("Find a part")}</span>
            <input type="search" autocomplete="off"
                on:input=move |event| find.set(event_target_value(&event))/>
        </label>
        {TaskGroup::ALL.map(group)}
        <Instead catalog=instead form/>
    }
}

/// Of parts that are alike nobody may know yet which one is faulty: the one that takes longest
/// is planned for, and the technician corrects it on the job.
#[component]
fn NotSureWhich(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let app = app();
    let listed = catalog.clone();
    let kinds = Slice::new(move || like_parts(&listed, &form.setup()));
    rows(
        move || kinds.get(),
        |(kind, _)| kind.clone(),
        move |(kind, tasks)| {
            let catalog = catalog.clone();
            let pick = move |_| {
                let (catalog, tasks, setup) = (catalog.clone(), tasks.clone(), form.setup());
                let mut handler =
                    app.progress_handler(move || form.tasks.try_with_untracked(|_| ()).is_some());
                spawn_local(async move {
                    let slowest = slowest(&catalog, &setup, &tasks, &mut handler).await;
                    let _gone = form.tasks.try_update(|ticked| {
                        ticked.retain(|one| tasks.iter().all(|task| task.task != *one));
                        ticked.extend(slowest);
                    });
                });
            };
            view! {
                <button type="button" class="quiet wide" on:click=pick>
                    {tr!("Not sure which {kind}? Plan for the slowest", kind = localize(&kind))}
                </button>
            }
        },
    )
}

/// What could be replaced instead of the ticked parts: larger ones that bring them along.
#[component]
fn Instead(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let app = app();
    let listed = catalog.clone();
    let choices = Slice::new(move || {
        let (tasks, setup) = (form.tasks.get(), form.setup());
        let each = tasks.iter().flat_map(|task| {
            let modules = modules_instead(&listed, &setup, &tasks, task).into_iter();
            modules.map(|module| (task.clone(), module))
        });
        each.collect::<Vec<_>>()
    });
    let key = |(task, module): &(TaskRef, NamedTask)| (task.clone(), module.task.clone());
    rows(
        move || choices.get(),
        key,
        move |(task, module)| {
            let spare = spare_of(&catalog, &module.task).unwrap_or_default();
            let other = RwSignal::new(None);
            let (seen, this, instead) = (catalog.clone(), task.clone(), module.task.clone());
            Effect::new(move |_| {
                let mut tasks = form.tasks.get();
                tasks.retain(|one| *one != this);
                tasks.push(instead.clone());
                let (seen, setup) = (seen.clone(), form.setup());
                let mut handler =
                    app.progress_handler(move || other.try_with_untracked(|_| ()).is_some());
                spawn_local(async move {
                    let found = planning::preview(&seen, &setup, &tasks, &mut handler).await;
                    let _gone = other.try_set(found.ok().map(|preview| preview.plan.total_s));
                });
            });
            let take = {
                let (task, module) = (task, module.task.clone());
                move |_| {
                    form.tasks.update(|tasks| {
                        tasks.retain(|one| *one != task);
                        tasks.push(module.clone());
                    });
                }
            };
            let time = move || {
                other
                    .get()
                    .map(|total_s| tr!("about {now}", now = format_duration(total_s)))
            };
            view! {
                <button type="button" class="wide offer" on:click=take>
                    {tr!("Replace the larger part instead: {part}", part = spare)}
                    <span class="num soft">{text(move || time().unwrap_or_default())}</span>
                </button>
            }
        },
    )
}

#[component]
fn TaskRow(task: NamedTask, form: Form) -> impl IntoView {
    let this = task.task.clone();
    let seen = this.clone();
    let toggle = move |event| {
        let on = event_target_checked(&event);
        form.tasks.update(|tasks| {
            tasks.retain(|one| *one != this);
            if on {
                tasks.push(this.clone());
            }
        });
    };
    view! {
        <label class="tick">
            <input type="checkbox" on:change=toggle
                prop:checked=move || form.tasks.with(|tasks| tasks.contains(&seen))/>
            <span>{capitalize(&localize(&task.name))}</span>
        </label>
    }
}
