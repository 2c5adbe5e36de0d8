//! A possible change to a job, with the remaining time it would give.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::dynamic::rebuilt;
use lidoff_app_core::blocked_operation::{blocked_operation, can_add_task, replacement_task};
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventKind, NamedTask, PlannedStep};

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
    offer(job, Proposal { label, kinds }, None, left_s, then)
}

/// The same, with an alternative if the change is impossible.
fn offer(
    job: OpenJob,
    proposal: Proposal,
    instead: Option<Proposal>,
    left_s: Option<f64>,
    then: RwSignal<bool>,
) -> AnyView {
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
            let besides = instead
                .clone()
                .map(|instead| offer(job, instead, None, None, then));
            view! { <p class="change">{format!("{}: {why}", proposal.label)}</p>{besides} }
                .into_any()
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
    can.then(|| view! { <Offer job label kinds then/> })
}

/// Offers another route if this one is blocked; if there is none, closing up.
#[component]
pub fn OtherRoute(job: OpenJob, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    let left_s = job.get_untracked().left_s();
    blocked_operation(&step).map(|way| {
        let label = if step.undo.is_empty() {
            tr!("It is blocked: use another route")
        } else {
            tr!("It won't come undone: use another route")
        };
        let way = EventKind::Blocked(way);
        let proposal = Proposal {
            label,
            kinds: vec![way.clone()],
        };
        let closing = Proposal {
            label: tr!("Report it and close up from here"),
            kinds: vec![way, EventKind::TurnedBack],
        };
        offer(job, proposal, Some(closing), Some(left_s), then)
    })
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
