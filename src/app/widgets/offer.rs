//! A change that can be made to a job, offered with what it would come to.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::state::{App, app};
use crate::app::way::{blocked, broken, is_replaceable};
use crate::app::words::about;
use crate::job::{Job, PlannedStep, What};

/// A button that does this, with what is left then; where it cannot be done, why
/// not. `then` runs once it is done.
#[component]
pub fn Offer(
    id: String,
    #[prop(into)] label: String,
    whats: Vec<What>,
    #[prop(optional)] left_s: Option<f64>,
    then: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    match app.would(&id, whats.clone()) {
        Ok(plan) => {
            let now = about(plan.total_s);
            let told = match left_s.map(about) {
                Some(before) if before != now => format!("about {now} left instead of {before}"),
                _ => format!("about {now}"),
            };
            view! {
                <button type="button" class="wide offer" prop:disabled=move || app.busy.get()
                    on:click=move |_| app.act(&id, whats.clone(), move || then.set(false))>
                    <span>{label}": "<span class="num">{told}</span></span>
                </button>
            }
            .into_any()
        }
        Err(why) => view! { <p class="change">{format!("{label}: {why}")}</p> }.into_any(),
    }
}

/// Closing up from here or, where that is being done, carrying on.
#[component]
pub fn CloseUp(id: String, job: Arc<Job>, then: RwSignal<bool>) -> impl IntoView {
    if job.closing {
        view! { <Offer id label="Carry on with the tasks" whats=vec![What::CarryOn] left_s=job.left_s() then/> }
    } else {
        view! { <Offer id label="Close up from here" whats=vec![What::CloseUp] then/> }
    }
}

/// What can be done where this step cannot be.
#[component]
pub fn OtherWays(
    id: String,
    job: Arc<Job>,
    step: PlannedStep,
    then: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let left_s = job.left_s();
    let way = blocked(&step).map(|way| {
        let label = if step.undo.is_empty() {
            "It is blocked, go another way"
        } else {
            "It does not come undone, go another way"
        };
        let way = What::Blocked(way);
        let no_other = app.would(&id, vec![way.clone()]).is_err();
        let closing = no_other.then(|| {
            let (id, way) = (id.clone(), way.clone());
            view! { <Offer id label="Note that, and close up from here" whats=vec![way, What::CloseUp] then/> }
        });
        view! {
            <Offer id=id.clone() label whats=vec![way] left_s then/>
            {closing}
        }
    });
    let broken = broken(&step).map(|part| found_broken(app, id.clone(), &job, part, then));
    view! {
        <div class="stack">
            {way}
            {broken}
            <CloseUp id job then/>
        </div>
    }
}

fn found_broken(
    app: App,
    id: String,
    job: &Job,
    part: crate::job::BrokenPart,
    then: RwSignal<bool>,
) -> AnyView {
    let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app.catalog(unit));
    let name = part.name.clone();
    let task = catalog.and_then(|catalog| is_replaceable(&catalog, job, &part));
    match task {
        Some(task) => {
            let whats = vec![What::TaskAdded(task), What::FoundBroken(part)];
            let label = format!("{name} is broken, replace it too");
            view! { <Offer id label whats left_s=job.left_s() then/> }.into_any()
        }
        None => {
            let known = job.broken.iter().any(|one| one.part == part.part);
            (!known).then(|| view! {
                <button type="button" class="wide" prop:disabled=move || app.busy.get()
                    on:click=move |_| app.act(&id, vec![What::FoundBroken(part.clone())], move || then.set(false))>
                    {format!("{name} is broken: note it")}
                </button>
            })
            .into_any()
        }
    }
}
