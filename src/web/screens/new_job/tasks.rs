//! The tasks on offer: a search field, the chosen tasks, and a list of the parts with the time
//! that each would add.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::form::Form;
use super::task_costs::TaskCosts;
use crate::navigate::focus_on;
use crate::slice::Slice;
use crate::state::app;
use crate::widgets::dynamic::{When, rows, text};
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_app_core::part_choice::{PartGroup, PartRow, part_groups};
use lidoff_app_core::planning::{self, slowest};
use lidoff_app_core::task_choice::{like_parts, modules_instead, offered_tasks, spare_of};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{contains_typed, localize, tr};
use lidoff_job::{NamedTask, TaskRef};

/// The search field, and below it the chosen tasks.
#[component]
pub(super) fn Search(catalog: Arc<Catalog>, form: Form, typed: RwSignal<String>) -> impl IntoView {
    let listed = catalog.clone();
    let offered = Slice::new(move || {
        let offered = offered_tasks(&listed, &form.setup()).into_iter();
        offered.map(|(task, _)| task.task).collect::<Vec<_>>()
    });
    // Drop tasks that the unit no longer offers.
    Effect::new(move |_| {
        let offered = offered.get();
        let is_gone = |task: &TaskRef| !offered.contains(task);
        if form.tasks.with_untracked(|tasks| tasks.iter().any(is_gone)) {
            form.tasks
                .update(|tasks| tasks.retain(|task| !is_gone(task)));
        }
    });
    let chosen = move || {
        let tasks = form.tasks.get().into_iter();
        let tasks = tasks.filter_map(|task| task.find(&catalog));
        tasks
            .map(|task| NamedTask::new(&catalog, task))
            .collect::<Vec<_>>()
    };
    let chip = move |task: NamedTask| {
        let words = capitalize(&task.describe());
        let remove = move |_| {
            form.tasks
                .update(|tasks| tasks.retain(|one| *one != task.task));
            // The button with the focus is gone.
            request_animation_frame(|| focus_on(".chips"));
        };
        view! {
            <li>
                <button type="button" class="chip" on:click=remove>
                    <span class="hush">{tr!("Remove: ")}</span>{words}<span aria-hidden="true">"✕"</span>
                </button>
            </li>
        }
    };
    view! {
        <label class="field">
            <span>{tr!("Find a part")}</span>
            <input type="search" id="find" autocomplete="off"
                on:input=move |event| typed.set(event_target_value(&event))/>
        </label>
        <ul class="chips" tabindex="-1" aria-label=tr!("Chosen tasks")>
            {rows(chosen, NamedTask::describe, chip)}
        </ul>
    }
}

/// The parts and the service operations.
#[component]
pub(super) fn Parts(
    catalog: Arc<Catalog>,
    form: Form,
    typed: RwSignal<String>,
    costs: RwSignal<TaskCosts>,
) -> impl IntoView {
    let listed = catalog.clone();
    let groups = Slice::new(move || part_groups(&listed, &form.setup()));
    let shown = Slice::new(move || {
        let typed = typed.get();
        let groups = groups.get().into_iter();
        let groups = groups.map(|group| PartGroup {
            rows: group.found(&typed),
            ..group
        });
        groups
            .filter(|group| !group.rows.is_empty())
            .collect::<Vec<_>>()
    });
    let names = move || {
        shown.with(|groups| {
            let names = groups.iter().map(|group| group.name.clone());
            names.collect::<Vec<_>>()
        })
    };
    let nothing = Signal::derive(move || shown.with(Vec::is_empty));
    let (listed, alike) = (StoredValue::new(catalog.clone()), catalog);
    let group = move |name: String| {
        let heading = localize(&name).into_owned();
        let of_group = move || {
            shown.with(|groups| {
                let group = groups.iter().find(|group| group.name == name);
                group.map(|group| group.rows.clone()).unwrap_or_default()
            })
        };
        let row = move |row: PartRow| {
            let catalog = listed.get_value();
            view! { <Part catalog row form costs/> }
        };
        view! {
            <h3>{heading}</h3>
            <ul class="parts">{rows(of_group, PartRow::key, row)}</ul>
        }
    };
    let caption = move || match form.tasks.with(Vec::is_empty) {
        true => tr!("The time of a visit for each part:"),
        false => tr!("The time that each part adds to this visit:"),
    };
    view! {
        <p class="soft small">{text(caption)}</p>
        {rows(names, Clone::clone, group)}
        <When is=nothing><p role="status">{tr!("No part has this name.")}</p></When>
        <NotSureWhich catalog=alike form typed/>
    }
}

/// A part with its usual task, and on request its other tasks.
#[component]
fn Part(
    catalog: Arc<Catalog>,
    row: PartRow,
    form: Form,
    costs: RwSignal<TaskCosts>,
) -> impl IntoView {
    let open = RwSignal::new(false);
    let name = capitalize(&localize(&row.name));
    let mut tasks = row.tasks.into_iter();
    let usual = tasks.next();
    let others: Vec<NamedTask> = tasks.collect();
    let more = (!others.is_empty()).then(|| {
        view! {
            <button type="button" class="quiet more" aria-label=tr!("Other tasks: {name}", name = name.clone())
                aria-expanded=move || open.get().to_string()
                on:click=move |_| open.update(|open| *open = !*open)>
                <span aria-hidden="true">"⋯"</span>
            </button>
        }
    });
    usual.map(|usual| {
        let this = usual.task.clone();
        let time = move || {
            let is_first = form
                .tasks
                .with(|tasks| (!tasks.contains(&this)).then_some(tasks.is_empty()));
            let (Some(is_first), costs) = (is_first, costs.get()) else {
                return String::new();
            };
            let mut found = costs.found.iter().filter(|cost| cost.task.task == this);
            let is_refused = || costs.refused.iter().any(|task| task.task == this);
            match found.next().map(|cost| format_duration(cost.more_s)) {
                Some(time) if is_first => time,
                Some(time) => format!("+{time}"),
                None if is_refused() => tr!("not possible"),
                None => String::new(),
            }
        };
        // A part that cannot be replaced says what is done with it.
        let words = match usual.task {
            TaskRef::Replace(_) | TaskRef::Serve(_) => name,
            _ => capitalize(&usual.describe()),
        };
        let task = usual.task.clone();
        let others = StoredValue::new(others);
        view! {
            <li>
                <div class="part">
                    <Tick task=usual.task words form/>
                    {more}
                    <span class="num soft small">{text(time)}</span>
                </div>
                <When is=open>
                    <div class="part-tasks">
                        {others.get_value().into_iter().map(|other| {
                            let words = capitalize(&other.describe());
                            view! { <Tick task=other.task words form/> }
                        }).collect::<Vec<_>>()}
                    </div>
                </When>
                <Instead catalog task form/>
            </li>
        }
    })
}

/// A task to be ticked.
#[component]
fn Tick(task: TaskRef, words: String, form: Form) -> impl IntoView {
    let seen = task.clone();
    let toggle = move |event| {
        let on = event_target_checked(&event);
        form.tasks.update(|tasks| {
            tasks.retain(|one| *one != task);
            if on {
                tasks.push(task.clone());
            }
        });
    };
    view! {
        <label class="tick">
            <input type="checkbox" on:change=toggle
                prop:checked=move || form.tasks.with(|tasks| tasks.contains(&seen))/>
            <span>{words}</span>
        </label>
    }
}

/// Of parts that are alike nobody may know yet which one is faulty: the one that takes longest
/// is planned for, and the technician corrects it on the job.
#[component]
fn NotSureWhich(catalog: Arc<Catalog>, form: Form, typed: RwSignal<String>) -> impl IntoView {
    let app = app();
    let listed = catalog.clone();
    let kinds = Slice::new(move || {
        let typed = typed.get();
        let mut kinds = like_parts(&listed, &form.setup());
        kinds.retain(|(kind, _)| contains_typed(&localize(kind), &typed));
        kinds
    });
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

/// What could be replaced instead of this part, if it is chosen: larger ones that bring it
/// along.
#[component]
fn Instead(catalog: Arc<Catalog>, task: TaskRef, form: Form) -> impl IntoView {
    let app = app();
    let (listed, this) = (catalog.clone(), task.clone());
    let choices = Slice::new(move || {
        let tasks = form.tasks.get();
        if !tasks.contains(&this) {
            return Vec::new();
        }
        modules_instead(&listed, &form.setup(), &tasks, &this)
    });
    rows(
        move || choices.get(),
        |module| module.task.clone(),
        move |module| {
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
                let (task, module) = (task.clone(), module.task.clone());
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
