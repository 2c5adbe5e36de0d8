//! Choosing one more task from all that the unit offers, with the remaining time it
//! would give.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::dynamic::{rebuilt, rows};
use crate::widgets::offer::{BrokenToo, Offer};
use lidoff_app_core::display::capitalize;
use lidoff_app_core::task_choice::offered_tasks;
use lidoff_i18n::{contains_typed, tr};
use lidoff_job::{EventKind, Job, NamedTask, TaskRef};

/// Why a task is chosen.
#[derive(Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// It is to be done too.
    More,
    /// Its part was found broken: replacements only.
    Broken,
}

impl Purpose {
    fn fits(self, task: &TaskRef) -> bool {
        self == Self::More || matches!(task, TaskRef::Replace(_))
    }
}

/// A list that typing filters, then the chosen task.
#[component]
pub fn ChooseTask(job: OpenJob, purpose: Purpose, then: RwSignal<bool>) -> impl IntoView {
    let left_s = job.get_untracked().left_s();
    let all = StoredValue::new(addable(&job.get_untracked(), purpose));
    let chosen = RwSignal::new(None::<NamedTask>);
    rebuilt(move || {
        match chosen.get() {
        None => view! { <List all chosen/> }.into_any(),
        Some(task) => view! {
            <h3>{capitalize(&task.describe())}</h3>
            {match purpose {
                Purpose::More => {
                    let kinds = vec![EventKind::TaskAdded(task)];
                    view! { <Offer job label=tr!("Add this task") kinds left_s then/> }.into_any()
                }
                Purpose::Broken => view! { <BrokenToo job task left_s then/> }.into_any(),
            }}
            <button type="button" class="quiet wide" on:click=move |_| chosen.set(None)>{tr!("Choose another")}</button>
        }
        .into_any(),
    }
    })
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
            {rows(shown, NamedTask::describe, move |task| {
                let words = capitalize(&task.describe());
                view! {
                    <li>
                        <button type="button" class="quiet wide" on:click=move |_| chosen.set(Some(task.clone()))>{words}</button>
                    </li>
                }
            })}
        </ul>
    }
}

/// Tasks that this unit offers and the job does not have.
fn addable(job: &Job, purpose: Purpose) -> Vec<NamedTask> {
    let unit = job.opened.as_ref().map(|opened| &opened.unit.id);
    let Some(catalog) = unit.and_then(|unit| app().catalog(unit)) else {
        return Vec::new();
    };
    let asked: Vec<_> = job.open_tasks().map(|task| &task.task).collect();
    let all = offered_tasks(&catalog, &job.setup)
        .into_iter()
        .map(|(task, _)| task);
    all.filter(|task| purpose.fits(&task.task) && !asked.contains(&&task.task))
        .collect()
}
