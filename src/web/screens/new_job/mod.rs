//! A new job: which tasks to do, how the unit is fitted, and the cost, updated as tasks are
//! chosen.

mod cost;
mod fitted;
mod form;
mod questions;
mod setup;
mod start;
mod task_costs;
mod tasks;

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::generation::Generation;
use crate::state::app;
use crate::widgets::booking::Booking;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::{When, rebuilt, text};
use crate::widgets::left_open::LeftOpenVisits;
use crate::widgets::marginal_cost::MarginalCostSection;
use lidoff_app_core::outlook::LeftOpen;
use lidoff_app_core::planning::{self, Preview};
use lidoff_app_core::route::Route;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};
use lidoff_job::NamedTask;

use cost::Cost;
pub use fitted::Fitted;
pub use form::Form;
pub use questions::Questions;
use setup::UnitSetup;
use start::Start;
pub use task_costs::TaskCosts;
use task_costs::follow_costs;
use tasks::{Parts, Search};

/// The screen.
#[component]
pub fn NewJob(unit: String) -> impl IntoView {
    let app = app();
    rebuilt(move || {
        match app.library.get() {
        None => view! { <div class="screen"><h1 tabindex="-1">{tr!("New job")}</h1><p>{tr!("Loading the catalogs.")}</p></div> }.into_any(),
        Some(library) => match library.find(&unit) {
            Some(catalog) => view! { <NewJobForm catalog/> }.into_any(),
            None => view! {
                <div class="screen">
                    <h1 tabindex="-1">{tr!("Unit not found")}</h1>
                    <p>{tr!("The catalog for this unit is not on this device.")}</p>
                    <a class="button" href=Route::Units.href()>{tr!("Choose a unit")}</a>
                </div>
            }
            .into_any(),
        },
    }
    })
}

#[component]
fn NewJobForm(catalog: Arc<Catalog>) -> impl IntoView {
    let form = Form::new(&catalog);
    let seen = catalog.clone();
    let (app, latest) = (app(), Generation::new());
    let (preview, working) = (RwSignal::new(None), RwSignal::new(false));
    Effect::new(move |_| {
        let (tasks, setup, seen) = (form.tasks.get(), form.setup(), seen.clone());
        let wanted = latest.begin();
        if tasks.is_empty() {
            preview.set(None);
            working.set(false);
            return;
        }
        working.set(true);
        let mut progress_handler = app.progress_handler(wanted);
        spawn_local(async move {
            let found = planning::preview(&seen, &setup, &tasks, &mut progress_handler).await;
            if wanted() {
                preview.set(Some(found));
                working.set(false);
            }
        });
    });
    let costs = follow_costs(catalog.clone(), form, working);
    let head = catalog.unit().clone();
    let typed = RwSignal::new(String::new());
    let booked = StoredValue::new(catalog.clone());
    let add = Callback::new(move |task| form.tasks.update(|tasks| tasks.push(task)));
    let is_planned = Signal::derive(move || preview.with(|preview| matches!(preview, Some(Ok(_)))));
    let refusal = move || match preview.get() {
        Some(Err(why)) => why,
        _ => String::new(),
    };
    let is_refused =
        Signal::derive(move || preview.with(|preview| matches!(preview, Some(Err(_)))));
    view! {
        <div class="screen with-foot new-job">
            <h1 tabindex="-1">{tr!("New job: {}", head.name)}</h1>
            <LeftOpenVisits unit=head.id.clone() take=move |left: &LeftOpen| form.take_up(left)/>
            <section class="stack choose" aria-labelledby="what">
                <h2 id="what" class="hush">{tr!("Tasks")}</h2>
                <Search catalog=catalog.clone() form typed/>
                <When is=is_refused><p role="alert">{text(refusal)}</p></When>
                <UnitSetup catalog=catalog.clone() form/>
                <div class="sheet"><Parts catalog=catalog.clone() form typed costs/></div>
            </section>
            <div class="stack visit">
                <section class="sheet" aria-labelledby="whose">
                    <h2 id="whose">{tr!("Visit")}</h2>
                    <TextField label=tr!("Job reference") value=form.reference hint="TM-0001"/>
                    <TextField label=tr!("Site and customer") value=form.site hint=""/>
                    <TextField label=tr!("Technician") value=form.technician hint=""/>
                    <label class="field">
                        <span>{tr!("Leave by (optional)")}</span>
                        <input type="time" prop:value=move || form.leave_by.get()
                            on:input=move |event| form.leave_by.set(event_target_value(&event))/>
                    </label>
                </section>
                <When is=is_planned>
                    <Takes catalog=booked.get_value() form preview/>
                    <MarginalCostSection costs add/>
                </When>
                <p class="soft small">{localize(&head.about).into_owned()}" "{localize(&head.safety).into_owned()}</p>
            </div>
        </div>
        <Start catalog form preview working/>
    }
}

/// What the chosen tasks take, and the form to book a slot for them; collapsed at first.
#[component]
fn Takes(
    catalog: Arc<Catalog>,
    form: Form,
    preview: RwSignal<Option<Result<Preview, String>>>,
) -> impl IntoView {
    let open = RwSignal::new(false);
    let name = catalog.unit().name.clone();
    let inside = move || {
        let preview = preview.get()?.ok()?;
        let (tasks, unit) = (ticked(&catalog, form), name.clone());
        Some(view! {
            <div class="stack">
                <Cost preview=preview.clone()/>
                <Booking preview tasks unit reference=form.reference site=form.site/>
            </div>
        })
    };
    view! { <Disclosure class="sheet" open summary=|| tr!("What this job takes") inside=move || rebuilt(inside.clone())/> }
}

#[component]
fn TextField(label: String, value: RwSignal<String>, hint: &'static str) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" placeholder=hint autocomplete="off" prop:value=move || value.get()
                on:input=move |event| value.set(event_target_value(&event))/>
        </label>
    }
}

/// The ticked tasks as text.
fn ticked(catalog: &Catalog, form: Form) -> Vec<String> {
    let tasks = form.tasks.get_untracked().into_iter();
    let found = tasks.filter_map(|task| task.find(catalog));
    found
        .map(|task| NamedTask::new(catalog, task).describe())
        .collect()
}
