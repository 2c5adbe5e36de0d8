//! Changes to the plan: different options or answers, blocked routes, and closing up.

use std::sync::Arc;

use leptos::prelude::*;

use lidoff_i18n::{localize, tr};

use crate::screens::new_job::{Fitted, Form, Questions};
use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use crate::widgets::offer::{CloseUp, Offer};
use lidoff_app_core::blocked_operation::blocked_operation;
use lidoff_app_core::task_choice::{like_parts, offered_tasks};
use lidoff_catalog::model::Catalog;
use lidoff_job::{BlockedOperation, EventKind, Job};

/// The section, collapsed at first.
#[component]
pub fn Change(job: OpenJob) -> impl IntoView {
    let open = RwSignal::new(false);
    view! {
        <Disclosure class="sheet" open summary=|| tr!("Change the plan")
            inside=move || view! { <Inside job open/> }/>
    }
}

#[component]
fn Inside(job: OpenJob, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    // Proposals are planned from the current position of the job.
    rebuilt(move || {
        let now = job.get();
        let unit = now.opened.as_ref().map(|opened| opened.unit.id.clone());
        let catalog = unit.and_then(|unit| app.catalog(&unit));
        view! {
            <div class="stack">
                <CloseUp job then=open/>
                <BlockedRoutes job then=open/>
                {catalog.clone().map(|catalog| view! { <OtherOfItsKind job catalog then=open/> })}
                {catalog.map(|catalog| view! { <Declared job catalog then=open/> })}
            </div>
        }
    })
}

/// Of parts that are alike another one turned out to be faulty.
#[component]
fn OtherOfItsKind(job: OpenJob, catalog: Arc<Catalog>, then: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let left_s = now.left_s();
    let open: Vec<_> = now.open_tasks().cloned().collect();
    let kinds = like_parts(&catalog, &now.setup);
    let offers = kinds.iter().flat_map(|(_, tasks)| {
        let planned = tasks.iter().filter(|task| open.contains(task));
        let others = || tasks.iter().filter(|task| !open.contains(task));
        planned.flat_map(move |task| others().map(move |other| (task, other)))
    });
    let offers = offers.map(|(task, other)| {
        let (this, that) = (localize(&task.name), localize(&other.name));
        let label = tr!("{that} is faulty, not {this}", that, this);
        let kinds = vec![
            EventKind::TaskDropped(task.task.clone()),
            EventKind::TaskAdded(other.clone()),
        ];
        view! { <Offer job label kinds left_s then/> }
    });
    offers.collect_any()
}

/// Blocked routes, each with the time the job would take if it were free.
#[component]
fn BlockedRoutes(job: OpenJob, then: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let rows = now
        .blocked
        .iter()
        .map(|route| {
            let label = tr!("It is no longer blocked");
            let kinds = vec![EventKind::Unblocked(route.op.clone())];
            view! {
                <li class="stack">
                    <span>{route.describe()}"."</span>
                    <Offer job label kinds left_s=now.left_s() then/>
                </li>
            }
        })
        .collect_any();
    let still = routes_ahead(&now);
    (!rows.is_empty() || !still.is_empty()).then(|| {
        view! {
            <h3>{tr!("Blocked routes")}</h3>
            <ul class="list">{rows}</ul>
            <BlockOne job still then/>
        }
    })
}

/// The operations ahead that can be blocked, in the plan's order.
fn routes_ahead(job: &Job) -> Vec<BlockedOperation> {
    let mut routes: Vec<BlockedOperation> = Vec::new();
    for route in job.remaining.iter().filter_map(blocked_operation) {
        if routes.iter().all(|known| known.op != route.op) {
            // The fastener is not known yet.
            routes.push(BlockedOperation {
                fastening: None,
                ..route
            });
        }
    }
    routes
}

/// Reports an operation as blocked before its step comes.
#[component]
fn BlockOne(job: OpenJob, still: Vec<BlockedOperation>, then: RwSignal<bool>) -> impl IntoView {
    let chosen = RwSignal::new(None::<usize>);
    // A select has one line per option: the route is added only if a part has two.
    let options = still.iter().enumerate().map(|(nth, route)| {
        let alike = still
            .iter()
            .filter(|other| other.name == route.name)
            .count();
        let words = match alike {
            1 => localize(&route.name).into_owned(),
            _ => route.describe(),
        };
        view! { <option value=nth.to_string()>{words}</option> }
    });
    let options = options.collect_any();
    let left_s = job.get_untracked().left_s();
    let offer = rebuilt(move || {
        let route = still.get(chosen.get()?)?.clone();
        let (label, kinds) = (tr!("Use another route"), vec![EventKind::Blocked(route)]);
        Some(view! { <Offer job label kinds left_s then/> })
    });
    (!options.is_empty()).then(|| {
        view! {
            <label class="field">
                <span>{tr!("Something later in the plan won't open")}</span>
                <select on:change=move |event| chosen.set(event_target_value(&event).parse().ok())>
                    <option value="">{tr!("Which?")}</option>
                    {options}
                </select>
            </label>
            {offer}
        }
    })
}

/// The current options and answers, with a form to change them.
#[component]
fn Declared(job: OpenJob, catalog: Arc<Catalog>, then: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let form = Form::new(&catalog);
    form.fitted.set(now.setup.fitted.clone());
    form.answers.set(now.setup.answers.clone());
    let seen = catalog.clone();
    let left_s = now.left_s();
    view! {
        <Fitted catalog=catalog.clone() form/>
        <Questions catalog form/>
        {rebuilt(move || {
            let kinds = changes(&seen, &now, form);
            (!kinds.is_empty()).then(|| {
                let dropped = dropped(&kinds);
                view! {
                    {dropped}
                    <Offer job label=tr!("Replan") kinds left_s then/>
                }
            })
        })}
    }
}

/// The differences between the form and the job.
fn changes(catalog: &Catalog, job: &Job, form: Form) -> Vec<EventKind> {
    let setup = form.setup();
    let mut kinds = Vec::new();
    if setup.fitted != job.setup.fitted {
        // A task on a part that the unit does not have is dropped.
        let there = offered_tasks(catalog, &setup);
        let gone = job
            .open_tasks()
            .filter(|task| there.iter().all(|(one, _)| one.task != task.task));
        kinds.extend(gone.map(|task| EventKind::TaskDropped(task.task.clone())));
        let fitted = setup.fitted;
        kinds.push(EventKind::FittedWith { fitted });
    }
    for (question, answer) in setup.answers {
        if job.setup.answers.get(&question) != Some(&answer) {
            kinds.push(EventKind::Answered { question, answer });
        }
    }
    kinds
}

fn dropped(kinds: &[EventKind]) -> Option<impl IntoView + use<>> {
    let many = kinds
        .iter()
        .filter(|what| matches!(what, EventKind::TaskDropped(_)))
        .count();
    (many > 0).then(|| view! { <p class="change">{tr!("This also drops a task: the unit would not have that part.")}</p> })
}
