//! Reporting a fastener: lost, stripped, or replaced by a new one.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::state::app;
use lidoff_catalog::format::FasteningId;
use lidoff_i18n::tr;
use lidoff_job::event::Mishap;
use lidoff_job::{EventKind, Job, PlannedStep, tally};

/// The form.
#[component]
pub fn FastenerForm(
    job: OpenJob,
    /// The step in hand: its fasteners come first.
    step: Option<PlannedStep>,
    open: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let sets = sets(&job.get_untracked(), step.as_ref());
    let Some((first, _)) = sets.first() else {
        return view! { <p>{tr!("No fastener is out, and this step has none.")}</p> }.into_any();
    };
    let chosen = RwSignal::new(first.clone());
    let note = RwSignal::new(String::new());
    let first = first.clone();
    let options: Vec<_> = sets
        .into_iter()
        .map(|(id, name)| {
            let is_first = id == first;
            view! {
                <label class="tick">
                    <input type="radio" name="fastening" checked=is_first
                        on:change=move |_| chosen.set(id.clone())/>
                    <span>{name}</span>
                </label>
            }
        })
        .collect();
    let mishap = move |make: fn(Mishap) -> EventKind| {
        let what = make(Mishap {
            fastening: chosen.get_untracked(),
            count: 1,
            note: note.get_untracked().trim().to_owned(),
        });
        job.act_and_close(vec![what], open);
    };
    view! {
        <fieldset>
            <legend class="hush">{tr!("Which fastener")}</legend>
            {options}
        </fieldset>
        <label class="field">
            <span>{tr!("What happened, or where it is (optional; asked at wrap-up)")}</span>
            <input type="text" autocomplete="off" on:input=move |event| note.set(event_target_value(&event))/>
        </label>
        <button type="button" class="wide" prop:disabled=move || app.busy.get() on:click=move |_| mishap(EventKind::FastenerLost)>{tr!("One is lost")}</button>
        <button type="button" class="wide" prop:disabled=move || app.busy.get() on:click=move |_| mishap(EventKind::FastenerStripped)>{tr!("One is stripped and discarded")}</button>
        <button type="button" class="wide" prop:disabled=move || app.busy.get() on:click=move |_| mishap(EventKind::SpareUsed)>{tr!("A new one was fitted")}</button>
    }
    .into_any()
}

/// The sets of this step, then the sets that are out; if there is no current step, all
/// sets.
fn sets(job: &Job, step: Option<&PlannedStep>) -> Vec<(FasteningId, String)> {
    let tally = tally(job);
    let here = step
        .into_iter()
        .flat_map(|step| step.undo.iter().chain(&step.redo));
    let here = here.map(|set| set.fastening.clone());
    let tray = tally
        .sets
        .iter()
        .filter(|set| set.still_out() > 0 || step.is_none());
    let tray = tray.map(|set| set.fasteners.fastening.clone());
    let mut all: Vec<(FasteningId, String)> = Vec::new();
    for id in here.chain(tray) {
        if all.iter().all(|(known, _)| *known != id)
            && let Some(set) = tally.set(&id)
        {
            all.push((id, set.name()));
        }
    }
    all
}
