//! A change that can be made to a job, offered with what it would come to.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::state::app;
use crate::app::way::{blocked, can_be_added, replacing};
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
                    {label}<span class="num soft">{told}</span>
                </button>
            }
            .into_any()
        }
        Err(why) => view! { <p class="change">{format!("{label}: {why}")}</p> }.into_any(),
    }
}

/// Closing up from here or, where that is being done, carrying on with what was
/// left.
#[component]
pub fn CloseUp(id: String, job: Arc<Job>, then: RwSignal<bool>) -> impl IntoView {
    let (label, whats) = if job.is_closing() {
        let left = job.left_for_next().cloned().map(What::TaskAdded);
        ("Carry on with the tasks", left.collect())
    } else {
        ("Close up from here", vec![What::TurnedBack])
    };
    let can = job.is_closing() || job.open_tasks().next().is_some();
    can.then(|| view! { <Offer id label whats then/> })
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
            view! { <Offer id label="Note that, and close up from here" whats=vec![way, What::TurnedBack] then/> }
        });
        view! {
            <Offer id=id.clone() label whats=vec![way] left_s then/>
            {closing}
        }
    });
    let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app.catalog(unit));
    let broken = replacing(&step).map(|task| {
        let name = task.name.clone();
        let found = What::FoundBroken(task.clone());
        let more = catalog.is_some_and(|catalog| can_be_added(&catalog, &job, &task));
        let (label, whats) = if more {
            (
                format!("{name} is broken, replace it too"),
                vec![What::TaskAdded(task), found],
            )
        } else {
            (format!("{name} is broken, note it"), vec![found])
        };
        view! { <Offer id=id.clone() label whats left_s then/> }
    });
    view! {
        <div class="stack">
            {way}
            {broken}
            <CloseUp id job then/>
        </div>
    }
}
