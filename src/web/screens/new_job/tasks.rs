//! The tasks on offer, to be ticked.

use std::sync::Arc;

use leptos::prelude::*;

use super::form::Form;
use crate::slice::Slice;
use crate::widgets::dynamic::rows;
use lidoff_app_core::display::capitalize;
use lidoff_app_core::task_choice::{TaskGroup, offered_tasks};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{contains_typed, localize, tr};
use lidoff_job::{NamedTask, TaskRef};

/// The tasks in groups, with a search field.
#[component]
pub(super) fn Tasks(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let find = RwSignal::new(String::new());
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
    }
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
