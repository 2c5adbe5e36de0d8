//! A change that can be made to a job, offered with what it would come to.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::state::{App, app};
use lidoff_app_core::blocked_operation::{blocked, can_be_added, replacing};
use lidoff_app_core::words::{about, sentence};
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventKind, Job, NamedTask, PlannedStep};

/// Something that can be done.
#[derive(Clone)]
struct Deed {
    label: String,
    kinds: Vec<EventKind>,
}

/// A button that does this, with what is left then; where it cannot be done, why
/// not. `then` runs once it is done.
#[component]
pub fn Offer(
    id: String,
    #[prop(into)] label: String,
    kinds: Vec<EventKind>,
    #[prop(optional)] left_s: Option<f64>,
    then: RwSignal<bool>,
) -> impl IntoView {
    offer(id, Deed { label, kinds }, None, left_s, then)
}

/// The same, with what is offered besides where it cannot be done.
fn offer(
    id: String,
    deed: Deed,
    instead: Option<Deed>,
    left_s: Option<f64>,
    then: RwSignal<bool>,
) -> AnyView {
    let app = app();
    let plan = RwSignal::new(None);
    let (of, kinds) = (id.clone(), deed.kinds.clone());
    let patience = app.patience(move || plan.try_with_untracked(|_| ()).is_some());
    spawn_local(async move {
        let found = app.would(&of, kinds, patience).await;
        let _gone = plan.try_set(Some(found.map(|plan| plan.total_s)));
    });
    let shown = move || match plan.get() {
        // Soon over: the button is where it will be.
        None => button(app, &id, &deed, "…".to_owned(), None),
        Some(Ok(total_s)) => {
            // A number stays beside its unit.
            let long = |s: f64| about(s).replace(' ', "\u{a0}");
            let now = long(total_s);
            let told = match left_s.map(long) {
                Some(before) if before != now => {
                    tr!("about {now} left instead of {before}", now, before)
                }
                _ => tr!("about {now}", now),
            };
            button(app, &id, &deed, told, Some(then))
        }
        Some(Err(why)) => {
            let besides = instead
                .clone()
                .map(|instead| offer(id.clone(), instead, None, None, then));
            view! { <p class="change">{format!("{}: {why}", deed.label)}</p>{besides} }.into_any()
        }
    };
    shown.into_any()
}

/// `then` is there once it can be pressed.
fn button(app: App, id: &str, deed: &Deed, told: String, then: Option<RwSignal<bool>>) -> AnyView {
    let (id, Deed { label, kinds }) = (id.to_owned(), deed.clone());
    let press = move |_| {
        if let Some(then) = then {
            app.act(&id, kinds.clone(), move || then.set(false));
        }
    };
    view! {
        <button type="button" class="wide offer" prop:disabled=move || then.is_none() || app.busy.get()
            on:click=press>
            {label}<span class="num soft">{told}</span>
        </button>
    }
    .into_any()
}

/// Closing up from here or, where that is being done, carrying on with what was
/// left.
#[component]
pub fn CloseUp(id: String, job: Arc<Job>, then: RwSignal<bool>) -> impl IntoView {
    let (label, kinds) = if job.is_closing() {
        let left = job.left_for_next().cloned().map(EventKind::TaskAdded);
        (tr!("Carry on with the tasks"), left.collect())
    } else {
        (tr!("Close up from here"), vec![EventKind::TurnedBack])
    };
    let can = job.is_closing() || job.open_tasks().next().is_some();
    can.then(|| view! { <Offer id label kinds then/> })
}

/// Another way, where this one is blocked; where there is none, closing up.
#[component]
pub fn OtherWay(
    id: String,
    job: Arc<Job>,
    step: PlannedStep,
    then: RwSignal<bool>,
) -> impl IntoView {
    let left_s = job.left_s();
    blocked(&step).map(|way| {
        let label = if step.undo.is_empty() {
            tr!("It is blocked: use another route")
        } else {
            tr!("It won't come undone: use another route")
        };
        let way = EventKind::Blocked(way);
        let deed = Deed {
            label,
            kinds: vec![way.clone()],
        };
        let closing = Deed {
            label: tr!("Report it and close up from here"),
            kinds: vec![way, EventKind::TurnedBack],
        };
        offer(id, deed, Some(closing), Some(left_s), then)
    })
}

/// A part that was found broken is replaced too.
#[component]
pub fn BrokenToo(id: String, task: NamedTask, left_s: f64, then: RwSignal<bool>) -> impl IntoView {
    let name = sentence(&localize(&task.name));
    let label = tr!("{part} is broken: replace it too", part = name);
    let kinds = vec![
        EventKind::TaskAdded(task.clone()),
        EventKind::FoundBroken(task),
    ];
    view! { <Offer id label kinds left_s then/> }
}

/// The part of this step is broken: it is replaced too, where that can be; or
/// noted.
#[component]
pub fn Broken(id: String, job: Arc<Job>, step: PlannedStep, then: RwSignal<bool>) -> impl IntoView {
    let app = app();
    let left_s = job.left_s();
    let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app.catalog(unit));
    replacing(&step).map(|task| {
        let name = sentence(&localize(&task.name));
        let found = EventKind::FoundBroken(task.clone());
        let more = catalog.is_some_and(|catalog| can_be_added(&catalog, &job, &task));
        let replace = more.then(|| view! { <BrokenToo id=id.clone() task left_s then/> });
        view! {
            {replace}
            <button type="button" class="wide offer" prop:disabled=move || app.busy.get()
                on:click=move |_| app.act(&id, vec![found.clone()], move || then.set(false))>
                {tr!("{part} is broken: report it only", part = name)}
                <span class="soft">{tr!("the plan does not change")}</span>
            </button>
        }
    })
}
