//! One task more, chosen from all that this unit offers, with what is left then.

use std::sync::Arc;

use leptos::prelude::*;

use crate::screens::new_job::offered;
use crate::state::app;
use crate::widgets::offer::{BrokenToo, Offer};
use lidoff_app_core::words::sentence;
use lidoff_i18n::{contains_typed, tr};
use lidoff_job::{EventKind, Job, NamedTask, TaskRef};

/// Why a task is chosen.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Choice {
    /// It is to be done too.
    More,
    /// Its part was found broken: replacements only.
    Broken,
}

impl Choice {
    fn fits(self, task: &TaskRef) -> bool {
        self == Self::More || matches!(task, TaskRef::Replace(_))
    }
}

/// The list, to be narrowed down by what is typed, and then the one that was chosen.
#[component]
pub fn ChooseTask(
    id: String,
    job: Arc<Job>,
    choice: Choice,
    then: RwSignal<bool>,
) -> impl IntoView {
    let left_s = job.left_s();
    let all = StoredValue::new(addable(&job, choice));
    let chosen = RwSignal::new(None::<NamedTask>);
    move || {
        match chosen.get() {
        None => view! { <List all chosen/> }.into_any(),
        Some(task) => view! {
            <h3>{sentence(&task.describe())}</h3>
            {match choice {
                Choice::More => {
                    let kinds = vec![EventKind::TaskAdded(task)];
                    view! { <Offer id=id.clone() label=tr!("Add it") kinds left_s then/> }.into_any()
                }
                Choice::Broken => view! { <BrokenToo id=id.clone() task left_s then/> }.into_any(),
            }}
            <button type="button" class="quiet wide" on:click=move |_| chosen.set(None)>{tr!("Another one")}</button>
        }
        .into_any(),
    }
    }
}

#[component]
fn List(all: StoredValue<Vec<NamedTask>>, chosen: RwSignal<Option<NamedTask>>) -> impl IntoView {
    let find = RwSignal::new(String::new());
    let shown = move || {
        let typed = find.get();
        all.with_value(|all| {
            let fits = all
                .iter()
                .filter(|task| contains_typed(&task.describe(), &typed));
            fits.cloned().collect::<Vec<_>>()
        })
    };
    view! {
        <label class="field">
            <span>{tr!("Find a part")}</span>
            <input type="search" autocomplete="off" on:input=move |event| find.set(event_target_value(&event))/>
        </label>
        <ul class="list">
            <For each=shown key=|task| task.describe() let:task>
                {
                    let words = sentence(&task.describe());
                    view! {
                        <li>
                            <button type="button" class="quiet wide" on:click=move |_| chosen.set(Some(task.clone()))>{words}</button>
                        </li>
                    }
                }
            </For>
        </ul>
    }
}

/// What this unit offers and nobody asked for yet.
fn addable(job: &Job, choice: Choice) -> Vec<NamedTask> {
    let unit = job.opened.as_ref().map(|opened| &opened.unit.id);
    let Some(catalog) = unit.and_then(|unit| app().catalog(unit)) else {
        return Vec::new();
    };
    let asked: Vec<_> = job.open_tasks().map(|task| &task.task).collect();
    let all = offered(&catalog, &job.setup)
        .into_iter()
        .map(|(task, _)| task);
    all.filter(|task| choice.fits(&task.task) && !asked.contains(&&task.task))
        .collect()
}
