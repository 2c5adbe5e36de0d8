//! A check: what must be seen or measured, and what was.

use leptos::prelude::*;

use crate::app::state::app;
use crate::catalog::format::Reading;
use crate::job::{ReadingTaken, Taken, What};

/// Asks for the reading of a step, and shows the one that was taken.
#[component]
pub fn ReadingForm(
    id: String,
    step: u32,
    reading: Reading,
    taken: Option<ReadingTaken>,
) -> impl IntoView {
    let verdict = taken.map(|taken| {
        let value = match taken.taken {
            Taken::Value(value) => format!("{value}: "),
            Taken::Seen(_) => String::new(),
        };
        let passed = match taken.passed {
            Some(true) => "passed ✓",
            Some(false) => "not passed ✗",
            None => "noted",
        };
        view! { <p role="status"><strong>{format!("{value}{passed}")}</strong></p> }
    });
    let form = match reading {
        Reading::Value {
            what,
            unit,
            low,
            high,
        } => view! { <ValueForm id step what unit low high/> }.into_any(),
        Reading::Seen(what) => view! { <SeenForm id step what/> }.into_any(),
    };
    view! { <section class="sheet" aria-label="Check">{form}{verdict}</section> }
}

fn limits(low: Option<f64>, high: Option<f64>, unit: &str) -> String {
    match (low, high) {
        (Some(low), Some(high)) => format!("{low} to {high} {unit}"),
        (Some(low), None) => format!("at least {low} {unit}"),
        (None, Some(high)) => format!("at most {high} {unit}"),
        (None, None) => unit.to_owned(),
    }
}

#[component]
fn ValueForm(
    id: String,
    step: u32,
    what: String,
    unit: String,
    low: Option<f64>,
    high: Option<f64>,
) -> impl IntoView {
    let app = app();
    let said = RwSignal::new(String::new());
    let value = move || {
        said.get()
            .trim()
            .replace(',', ".")
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite())
    };
    view! {
        <form on:submit=move |event| {
            event.prevent_default();
            if let Some(value) = value() {
                app.act(&id, vec![What::Read { step, taken: Taken::Value(value) }], || {});
            }
        } class="stack">
            <label class="field">
                <span>{format!("{what} ({})", limits(low, high, &unit))}</span>
                <input type="text" inputmode="decimal" autocomplete="off"
                    on:input=move |event| said.set(event_target_value(&event))/>
            </label>
            <button type="submit" prop:disabled=move || value().is_none() || app.busy.get()>"Enter the reading"</button>
        </form>
    }
}

#[component]
fn SeenForm(id: String, step: u32, what: String) -> impl IntoView {
    let app = app();
    let id = StoredValue::new(id);
    let enter = move |seen| {
        id.with_value(|id| {
            app.act(
                id,
                vec![What::Read {
                    step,
                    taken: Taken::Seen(seen),
                }],
                || {},
            )
        });
    };
    view! {
        <p><strong>{what}</strong></p>
        <div class="row">
            <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| enter(true)>"Yes"</button>
            <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| enter(false)>"No"</button>
        </div>
    }
}
