//! Confirmations that a step requires before it is done.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::slice::{OpenJob, Slice};
use crate::widgets::dynamic::CollectAny;
use lidoff_i18n::localize;
use lidoff_job::{EventKind, PlannedStep};

/// What must be confirmed at this step, line by line: the catalog's request, and each cable
/// that is easily swapped by mistake. Empty if there is nothing.
pub fn lines(step: &PlannedStep) -> Vec<String> {
    let swaps = step.swappable().map(|cable| {
        tr!(
            "“{cable}” is on “{port}”",
            cable = localize(&cable.cable),
            port = localize(&cable.port)
        )
    });
    let asked = step
        .confirm
        .as_deref()
        .map(|text| localize(text).into_owned());
    asked.into_iter().chain(swaps).collect()
}

/// The box to tick.
#[component]
pub fn Confirm(job: OpenJob, lines: Vec<String>, step: u32, open: Slice<bool>) -> impl IntoView {
    let lines = lines
        .into_iter()
        .map(|line| view! { <span>{line}</span> })
        .collect_any();
    view! {
        <label class="tick boxed">
            <input type="checkbox" prop:checked=move || !open.get() prop:disabled=move || !open.get()
                on:change=move |_| job.record(EventKind::Confirmed { step })/>
            <span class="stack">{lines}</span>
        </label>
    }
}
