//! A possible change to a job, with the remaining time it would give.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::dynamic::rebuilt;
use lidoff_app_core::blocked_operation::{blocked_operation, can_add_task, replacement_task};
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_app_core::outlook::closing_warning;
use lidoff_app_core::task_choice::modules_instead;
use lidoff_app_core::what_now::parts_to_leave_out;
use lidoff_catalog::format::PartId;
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventKind, Job, NamedTask, PlannedStep, TaskRef};

/// A change that can be made.
#[derive(Clone)]
struct Proposal {
    label: String,
    kinds: Vec<EventKind>,
}

/// A button for this change, with the remaining time it would give; if the change is
/// impossible, the reason. `then` runs once the change is stored.
#[component]
pub fn Offer(
    job: OpenJob,
    #[prop(into)] label: String,
    kinds: Vec<EventKind>,
    #[prop(optional)] left_s: Option<f64>,
    then: RwSignal<bool>,
) -> impl IntoView {
    let proposal = Proposal { label, kinds };
    let app = app();
    let plan = RwSignal::new(None);
    let (id, kinds) = (job.id(), proposal.kinds.clone());
    let progress_handler = app.progress_handler(move || plan.try_with_untracked(|_| ()).is_some());
    spawn_local(async move {
        let found = app.would(&id, kinds, progress_handler).await;
        let _gone = plan.try_set(Some(found.map(|plan| plan.total_s)));
    });
    rebuilt(move || match plan.get() {
        // This is short, so the button is already in its place.
        None => button(job, &proposal, "…".to_owned(), None),
        Some(Ok(total_s)) => {
            // A number stays beside its unit.
            let long = |s: f64| format_duration(s).replace(' ', "\u{a0}");
            let now = long(total_s);
            let detail = match left_s.map(long) {
                Some(before) if before != now => {
                    tr!("about {now} left instead of {before}", now, before)
                }
                _ => tr!("about {now}", now),
            };
            button(job, &proposal, detail, Some(then))
        }
        Some(Err(why)) => {
            view! { <p class="change">{format!("{}: {why}", proposal.label)}</p> }.into_any()
        }
    })
}

/// `then` is there once it can be pressed.
fn button(
    job: OpenJob,
    proposal: &Proposal,
    detail: String,
    then: Option<RwSignal<bool>>,
) -> AnyView {
    let Proposal { label, kinds } = proposal.clone();
    let press = move |_| {
        if let Some(then) = then {
            job.act_and_close(kinds.clone(), then);
        }
    };
    view! {
        <button type="button" class="wide offer" disabled=then.is_none()
            on:click=press>
            {label}<span class="num soft">{detail}</span>
        </button>
    }
    .into_any()
}

/// Offers to close up from here, or, while closing up, to carry on with the open tasks.
#[component]
pub fn CloseUp(job: OpenJob, then: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let (label, kinds) = if now.is_closing() {
        let left = now.left_for_next().cloned().map(EventKind::TaskAdded);
        (tr!("Carry on with the tasks"), left.collect())
    } else {
        (tr!("Close up from here"), vec![EventKind::TurnedBack])
    };
    let can = now.is_closing() || now.open_tasks().next().is_some();
    let warning = closing_warning(&now).filter(|_| !now.is_closing());
    can.then(|| {
        view! {
            {warning.map(|warning| view! { <p class="change"><strong>{warning}</strong></p> })}
            <Offer job label kinds then/>
        }
    })
}

/// Offers how to go on if this operation is blocked.
#[component]
pub fn OtherRoute(job: OpenJob, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    blocked_operation(&step).map(|way| {
        let label = if step.undo.is_empty() {
            tr!("It is blocked: use another route")
        } else {
            tr!("It won't come undone: use another route")
        };
        view! { <Choices job kinds=vec![EventKind::Blocked(way)] label then/> }
    })
}

/// Offers, for each part that the unit can be closed without, to do that; and, where the job
/// does not replace the part, to replace it. `only` limits it to one part.
#[component]
pub fn CloseWithout(
    job: OpenJob,
    kinds: Vec<EventKind>,
    #[prop(optional)] only: Option<PartId>,
    then: RwSignal<bool>,
) -> impl IntoView {
    let now = job.get_untracked();
    let unit = now.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app().catalog(unit));
    let parts = catalog.map(|catalog| parts_to_leave_out(&now, &catalog));
    let parts = parts.unwrap_or_default().into_iter();
    let is_wanted = |task: &NamedTask| {
        only.as_ref()
            .is_none_or(|id| task.task.op().part() == Some(id))
    };
    let offers = parts
        .filter(|(task, _)| is_wanted(task))
        .map(|(task, replacement)| {
            let part = localize(&task.name);
            let replace = match (&replacement, &task.task) {
                (None, TaskRef::LeaveOut(id)) => {
                    let mut kinds = kinds.clone();
                    kinds.push(EventKind::TaskAdded(NamedTask {
                        task: TaskRef::Replace(id.clone()),
                        name: task.name.clone(),
                    }));
                    let label = tr!("Replace it too: {part}", part);
                    Some(view! { <Offer job label kinds then/> })
                }
                _ => None,
            };
            let mut kinds = kinds.clone();
            kinds.extend(replacement.map(|task| EventKind::TaskLeft(task.task)));
            let label = tr!("Close the unit without it, out of use: {part}", part);
            kinds.push(EventKind::TaskAdded(task));
            view! { {replace}<Offer job label kinds then/> }
        });
    offers.collect::<Vec<_>>()
}

/// How the job can go on with these entries: with all tasks; without those that have no plan
/// then; or by closing up. Each with its time.
#[component]
pub fn Choices(
    job: OpenJob,
    kinds: Vec<EventKind>,
    label: String,
    then: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let left = RwSignal::new(None::<Result<Vec<NamedTask>, String>>);
    let handler = app.progress_handler(move || left.try_with_untracked(|_| ()).is_some());
    let (id, entries) = (job.id(), kinds.clone());
    spawn_local(async move {
        let found = app.would_leave(&id, entries, handler).await;
        let _gone = left.try_set(Some(found));
    });
    let closing = {
        let mut kinds = kinds.clone();
        let label = if kinds.is_empty() {
            tr!("Close up from here")
        } else {
            tr!("Report it and close up from here")
        };
        kinds.push(EventKind::TurnedBack);
        let can = job.get_untracked().open_tasks().next().is_some();
        can.then(|| view! { <Offer job label kinds then/> })
    };
    let now = job.get_untracked();
    let (left_s, open) = (now.left_s(), now.open_tasks().count());
    let on = move || {
        let with = |more: fn(TaskRef) -> EventKind, tasks: &[NamedTask]| {
            let more = tasks.iter().map(|task| more(task.task.clone()));
            kinds.iter().cloned().chain(more).collect::<Vec<_>>()
        };
        match left.get()? {
            Ok(tasks) if tasks.is_empty() => {
                let (label, kinds) = (label.clone(), kinds.clone());
                Some(view! { <Offer job label kinds left_s then/> }.into_any())
            }
            Ok(tasks) => {
                let names: Vec<_> = tasks.iter().map(NamedTask::describe).collect();
                let names = names.join(", ");
                let modules = modules_for(&tasks, &now).into_iter().map(|(module, task)| {
                    let label = tr!(
                        "Replace the larger part instead: {part}",
                        part = localize(&module.name)
                    );
                    let mut kinds = kinds.clone();
                    kinds.push(EventKind::TaskDropped(task.task));
                    kinds.push(EventKind::TaskAdded(module));
                    view! { <Offer job label kinds left_s then/> }
                });
                let modules: Vec<_> = modules.collect();
                let rest = (tasks.len() < open).then(|| {
                    let leave = tr!("Leave for the next visit, and do the rest: {names}", names);
                    let drop = tr!("Drop, and do the rest: {names}", names);
                    view! {
                        <Offer job label=leave kinds=with(EventKind::TaskLeft, &tasks) left_s then/>
                        <Offer job label=drop kinds=with(EventKind::TaskDropped, &tasks) left_s then/>
                    }
                });
                Some(
                    view! {
                        <p class="change">{tr!("No longer possible: {names}", names)}</p>
                        {modules}
                        {rest}
                    }
                    .into_any(),
                )
            }
            Err(why) => {
                let report = (!kinds.is_empty()).then(|| {
                    let kinds = kinds.clone();
                    view! {
                        <button type="button" class="wide"
                            on:click=move |_| job.act_and_close(kinds.clone(), then)>{tr!("Report it only")}</button>
                    }
                });
                let kinds = kinds.clone();
                // Where the plan no longer fits, the screen says why itself.
                let why = (!kinds.is_empty()).then(|| view! { <p class="change">{why}</p> });
                Some(
                    view! {
                        {why}
                        <CloseWithout job kinds then/>
                        {report}
                    }
                    .into_any(),
                )
            }
        }
    };
    view! { <div class="stack">{rebuilt(on)}{closing}</div> }
}

/// The larger parts that can be replaced instead, each with the task that it stands in for.
fn modules_for(tasks: &[NamedTask], job: &Job) -> Vec<(NamedTask, NamedTask)> {
    let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let Some(catalog) = unit.and_then(|unit| app().catalog(unit)) else {
        return Vec::new();
    };
    let open: Vec<TaskRef> = job.open_tasks().map(|open| open.task.clone()).collect();
    let modules = tasks.iter().flat_map(|task| {
        let modules = modules_instead(&catalog, &job.setup, &open, &task.task);
        modules.into_iter().map(|module| (module, task.clone()))
    });
    modules.collect()
}

/// Offers to replace a broken part too.
#[component]
pub fn BrokenToo(
    job: OpenJob,
    task: NamedTask,
    left_s: f64,
    then: RwSignal<bool>,
) -> impl IntoView {
    let name = capitalize(&localize(&task.name));
    let label = tr!("{part} is broken: replace it too", part = name);
    let kinds = vec![
        EventKind::TaskAdded(task.clone()),
        EventKind::FoundBroken(task),
    ];
    view! { <Offer job label kinds left_s then/> }
}

/// Reports the part of this step as broken: offers to replace it too if possible, or only
/// to note it.
#[component]
pub fn Broken(job: OpenJob, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    let app = app();
    let now = job.get_untracked();
    let left_s = now.left_s();
    let unit = now.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app.catalog(unit));
    replacement_task(&step).map(|task| {
        let name = capitalize(&localize(&task.name));
        let found = EventKind::FoundBroken(task.clone());
        let more = catalog.is_some_and(|catalog| can_add_task(&catalog, &now, &task));
        let replace = more.then(|| view! { <BrokenToo job task left_s then/> });
        view! {
            {replace}
            <button type="button" class="wide offer"
                on:click=move |_| job.act_and_close(vec![found.clone()], then)>
                {tr!("{part} is broken: report it only", part = name)}
                <span class="soft">{tr!("the plan does not change")}</span>
            </button>
        }
    })
}
