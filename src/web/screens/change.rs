//! What may turn out otherwise than was said: how the unit is fitted, what was
//! answered, which ways are blocked; and closing up.

use std::sync::Arc;

use leptos::prelude::*;

use lidoff_i18n::{localize, tr};

use crate::screens::new_job::{Fitted, Form, Questions, offered};
use crate::state::app;
use crate::widgets::offer::{CloseUp, Offer};
use crate::widgets::unfold::Unfold;
use lidoff_app_core::blocked_operation::blocked;
use lidoff_catalog::model::Catalog;
use lidoff_job::{BlockedOperation, EventKind, Job};

/// The section, closed until it is wanted.
#[component]
pub fn Change(id: String, job: Arc<Job>) -> impl IntoView {
    let open = RwSignal::new(false);
    view! {
        <Unfold class="sheet" open summary=|| tr!("Change the plan")
            inside=move || view! { <Inside id=id.clone() job=job.clone() open/> }/>
    }
}

#[component]
fn Inside(id: String, job: Arc<Job>, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    let unit = job.opened.as_ref().map(|opened| opened.unit.id.clone());
    let catalog = unit.and_then(|unit| app.catalog(&unit));
    view! {
        <div class="stack">
            <CloseUp id=id.clone() job=job.clone() then=open/>
            <BlockedWays id=id.clone() job=job.clone() then=open/>
            {catalog.map(|catalog| view! { <Declared id catalog job then=open/> })}
        </div>
    }
}

/// Ways that are blocked, each with what the job would take if it were not.
#[component]
fn BlockedWays(id: String, job: Arc<Job>, then: RwSignal<bool>) -> impl IntoView {
    let rows: Vec<_> = job
        .blocked
        .iter()
        .map(|way| {
            let label = tr!("It is open after all");
            let kinds = vec![EventKind::Unblocked(way.op.clone())];
            view! {
                <li class="stack">
                    <span>{way.describe()}"."</span>
                    <Offer id=id.clone() label kinds left_s=job.left_s() then/>
                </li>
            }
        })
        .collect();
    let still = ways_out(&job);
    (!rows.is_empty() || !still.is_empty()).then(|| {
        view! {
            <h3>{tr!("Blocked ways")}</h3>
            <ul class="list">{rows}</ul>
            <BlockOne id job still then/>
        }
    })
}

/// The ways out that are still to be gone, in the plan's order.
fn ways_out(job: &Job) -> Vec<BlockedOperation> {
    let mut ways: Vec<BlockedOperation> = Vec::new();
    for way in job.remaining.iter().filter_map(blocked) {
        if ways.iter().all(|known| known.op != way.op) {
            // Which fastener it will be, nobody knows yet.
            ways.push(BlockedOperation {
                fastening: None,
                ..way
            });
        }
    }
    ways
}

/// One that is known to be blocked before its step comes.
#[component]
fn BlockOne(
    id: String,
    job: Arc<Job>,
    still: Vec<BlockedOperation>,
    then: RwSignal<bool>,
) -> impl IntoView {
    let chosen = RwSignal::new(None::<usize>);
    // A select has one line: more is said only where one part has two ways.
    let options = still.iter().enumerate().map(|(nth, way)| {
        let alike = still.iter().filter(|other| other.name == way.name).count();
        let words = match alike {
            1 => localize(&way.name).into_owned(),
            _ => way.describe(),
        };
        view! { <option value=nth.to_string()>{words}</option> }
    });
    let options: Vec<_> = options.collect();
    let left_s = job.left_s();
    let offer = move || {
        let way = still.get(chosen.get()?)?.clone();
        let (label, kinds) = (tr!("Go another way"), vec![EventKind::Blocked(way)]);
        Some(view! { <Offer id=id.clone() label kinds left_s then/> })
    };
    (!options.is_empty()).then(|| {
        view! {
            <label class="field">
                <span>{tr!("Something that is still ahead will not open")}</span>
                <select on:change=move |event| chosen.set(event_target_value(&event).parse().ok())>
                    <option value="">{tr!("Which?")}</option>
                    {options}
                </select>
            </label>
            {offer}
        }
    })
}

/// Options and answers, as they stand and as they should.
#[component]
fn Declared(
    id: String,
    catalog: Arc<Catalog>,
    job: Arc<Job>,
    then: RwSignal<bool>,
) -> impl IntoView {
    let form = Form::new(&catalog);
    form.fitted.set(job.setup.fitted.clone());
    form.answers.set(job.setup.answers.clone());
    let seen = catalog.clone();
    let left_s = job.left_s();
    view! {
        <Fitted catalog=catalog.clone() form/>
        <Questions catalog form/>
        {move || {
            let kinds = changes(&seen, &job, form);
            (!kinds.is_empty()).then(|| {
                let dropped = dropped(&kinds);
                view! {
                    {dropped}
                    <Offer id=id.clone() label=tr!("Plan anew") kinds left_s then/>
                }
            })
        }}
    }
}

/// What the form says otherwise than the job does.
fn changes(catalog: &Catalog, job: &Job, form: Form) -> Vec<EventKind> {
    let setup = form.setup();
    let mut kinds = Vec::new();
    if setup.fitted != job.setup.fitted {
        // A task on what is not there is not done.
        let there = offered(catalog, &setup);
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
    (many > 0).then(|| view! { <p class="change">{tr!("A task is dropped with it: this unit would not have the part.")}</p> })
}
