//! A new job: how the unit is fitted, which tasks to do, and their cost, updated as
//! tasks are ticked.

mod cost;
mod fitted;
mod form;
mod questions;
mod start;
mod tasks;

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::generation::Generation;
use crate::state::app;
use crate::widgets::booking::Booking;
use crate::widgets::dynamic::rebuilt;
use crate::widgets::left_open::LeftOpenVisits;
use crate::widgets::marginal_cost::MarginalCostSection;
use lidoff_app_core::outlook::LeftOpen;
use lidoff_app_core::planning;
use lidoff_app_core::route::Route;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};
use lidoff_job::NamedTask;

use cost::Cost;
pub use fitted::Fitted;
pub use form::Form;
pub use questions::Questions;
use start::Start;
use tasks::Tasks;

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
    let head = catalog.unit().clone();
    let (open, also) = (RwSignal::new(false), catalog.clone());
    let add = Callback::new(move |task| form.tasks.update(|tasks| tasks.push(task)));
    let while_open = move || {
        let planned = preview.with(|preview| matches!(preview, Some(Ok(_))));
        planned.then(|| {
            let (setup, tasks) = (form.setup(), form.tasks.get());
            view! { <MarginalCostSection catalog=also.clone() setup tasks open add/> }
        })
    };
    let (booked, name) = (catalog.clone(), head.name.clone());
    view! {
        <div class="screen with-foot">
            <h1 tabindex="-1">{tr!("New job: {}", head.name)}</h1>
            <p class="soft">{localize(&head.about).into_owned()}</p>
            <LeftOpenVisits unit=head.id.clone() take=move |left: &LeftOpen| form.take_up(left)/>
            <section class="sheet" aria-labelledby="what">
                <h2 id="what">{tr!("Tasks")}</h2>
                <Tasks catalog=catalog.clone() form/>
            </section>
            <Fitted catalog=catalog.clone() form/>
            <Questions catalog=catalog.clone() form/>
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
            <section aria-live="polite" class="sheet" aria-labelledby="cost">
                <h2 id="cost">{tr!("What this job takes")}</h2>
                {rebuilt(move || match preview.get() {
                    None => view! { <p class="soft">{tr!("Tick a task to see the time and what to bring.")}</p> }.into_any(),
                    Some(Err(why)) => view! { <p role="alert">{why}</p> }.into_any(),
                    Some(Ok(preview)) => {
                        let tasks = ticked(&booked, form);
                        view! {
                            <Cost preview=preview.clone()/>
                            <Booking preview tasks unit=name.clone() reference=form.reference site=form.site/>
                        }.into_any()
                    }
                })}
            </section>
            {while_open}
            <p class="soft small">{localize(&head.safety).into_owned()}</p>
        </div>
        <Start catalog form preview working/>
    }
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
