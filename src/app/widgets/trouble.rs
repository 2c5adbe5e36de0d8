//! "Something's wrong": what can be noted from any step.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::state::app;
use crate::app::widgets::offer::OtherWays;
use crate::app::widgets::sheet::Sheet;
use crate::catalog::format::FasteningId;
use crate::job::event::Mishap;
use crate::job::{Job, PlannedStep, What, tally};

/// The sheet: fasteners lost or stripped, new ones used, a note.
#[component]
pub fn Trouble(
    id: String,
    job: Arc<Job>,
    step: PlannedStep,
    open: RwSignal<bool>,
) -> impl IntoView {
    view! {
        <Sheet open title="Something's wrong">
            <Inside id=id.clone() job=job.clone() step=step.clone() open/>
        </Sheet>
    }
}

#[component]
fn Inside(id: String, job: Arc<Job>, step: PlannedStep, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    let note = RwSignal::new(String::new());
    let number = step.number;
    let sets = step.undo.iter().chain(&step.redo).map(|set| {
        (
            set.fastening.clone(),
            format!("{}: {}", set.part_name, set.name),
        )
    });
    let mut sets: Vec<(FasteningId, String)> = sets.collect();
    for set in tally(&job).sets.iter().filter(|set| set.in_well() > 0) {
        let id = &set.fasteners.fastening;
        if !sets.iter().any(|(known, _)| known == id) {
            sets.push((
                id.clone(),
                format!("{}: {}", set.fasteners.part_name, set.fasteners.name),
            ));
        }
    }
    let chosen = RwSignal::new(sets.first().map(|(id, _)| id.clone()));
    let none = sets.is_empty();
    let options: Vec<_> = sets
        .iter()
        .map(|(id, name)| view! { <option value=id.0.clone()>{name.clone()}</option> })
        .collect();
    let id = StoredValue::new(id);
    let mishap = move |make: fn(Mishap) -> What| {
        let Some(fastening) = chosen.get_untracked() else {
            return;
        };
        let what = make(Mishap {
            fastening,
            count: 1,
            note: String::new(),
        });
        id.with_value(|id| app.act(id, vec![what], move || open.set(false)));
    };
    let otherwise = id.get_value();
    view! {
        <OtherWays id=otherwise job step then=open/>
        <form on:submit=move |event| {
            event.prevent_default();
            let text = note.get_untracked().trim().to_owned();
            if !text.is_empty() {
                let what = What::Note { text, step: Some(number) };
                id.with_value(|id| app.act(id, vec![what], move || open.set(false)));
            }
        }>
            <label class="field">
                <span>"Note what you found (for the next visit, or for the catalog's author)"</span>
                <textarea rows="3" on:input=move |event| note.set(event_target_value(&event))></textarea>
            </label>
            <button type="submit">"Keep the note"</button>
        </form>
        {(!none).then(|| view! {
            <fieldset class="stack">
                <legend>"One fastener"</legend>
                <label class="field">
                    <span>"Of which set"</span>
                    <select on:change=move |event| chosen.set(Some(FasteningId(event_target_value(&event))))>{options}</select>
                </label>
                <button type="button" class="wide" on:click=move |_| mishap(What::FastenerLost)>"Lost one"</button>
                <button type="button" class="wide" on:click=move |_| mishap(What::FastenerStripped)>"One cannot be used again"</button>
                <button type="button" class="wide" on:click=move |_| mishap(What::SpareUsed)>"Brought in a new one"</button>
            </fieldset>
        })}
    }
}
