//! A check: what must be seen or measured, its limits before, its verdict after;
//! and what to do when it did not pass.

use leptos::prelude::*;

use crate::state::app;
use lidoff_catalog::format::Reading;
use lidoff_i18n::{localize, plain, tr};
use lidoff_job::{EventKind, ReadingTaken, Taken};

/// Asks for the reading of a step, and shows the one that was taken. `kept`: what
/// was said when a failure was left at that.
#[component]
pub fn ReadingForm(
    id: String,
    step: u32,
    reading: Reading,
    taken: Option<ReadingTaken>,
    kept: Option<String>,
) -> impl IntoView {
    let failed = taken
        .as_ref()
        .is_some_and(|taken| taken.passed == Some(false));
    let again = taken.is_some();
    let verdict = taken.map(|taken| {
        let value = match (&reading, taken.taken) {
            (Reading::Value { unit, .. }, Taken::Value(value)) => {
                format!("{} {}: ", plain(value), localize(unit))
            }
            (_, Taken::Value(value)) => format!("{}: ", plain(value)),
            (_, Taken::Seen(_)) => String::new(),
        };
        let passed = match taken.passed {
            Some(true) => tr!("✓ passed"),
            Some(false) => tr!("✗ failed"),
            None => tr!("noted"),
        };
        let bounds = match &reading {
            Reading::Value {
                unit, low, high, ..
            } if failed => {
                let limits = limits(*low, *high, unit);
                Some(view! { <p class="soft">{tr!("Should be: {limits}", limits = limits)}</p> })
            }
            _ => None,
        };
        view! {
            <div class="verdict" class:failed=failed role="status">
                <p><strong>{value}{passed}</strong></p>
                {bounds}
            </div>
        }
    });
    let keep = failed.then(|| view! { <LeftAtThat id=id.clone() step kept/> });
    let form = match reading {
        Reading::Value {
            what,
            unit,
            low,
            high,
        } => {
            let asked = format!("{} ({})", localize(&what), limits(low, high, &unit));
            view! { <ValueForm id step asked unit again/> }.into_any()
        }
        Reading::Seen(what) => view! { <SeenForm id step what/> }.into_any(),
    };
    view! { <section class="sheet" aria-label=tr!("Check")>{verdict}{form}{keep}</section> }
}

/// What passes, in words.
pub fn limits(low: Option<f64>, high: Option<f64>, unit: &str) -> String {
    let unit = localize(unit);
    match (low, high) {
        (Some(low), Some(high)) if low == high => {
            tr!("exactly {value} {unit}", value = plain(low), unit = unit)
        }
        (Some(low), Some(high)) => tr!(
            "{low} to {high} {unit}",
            low = plain(low),
            high = plain(high),
            unit = unit
        ),
        (Some(low), None) => tr!("at least {low} {unit}", low = plain(low), unit = unit),
        (None, Some(high)) => tr!("at most {high} {unit}", high = plain(high), unit = unit),
        (None, None) => unit.into_owned(),
    }
}

#[component]
fn ValueForm(id: String, step: u32, asked: String, unit: String, again: bool) -> impl IntoView {
    let app = app();
    let unit = localize(&unit).into_owned();
    let said = RwSignal::new(String::new());
    let value = move || {
        said.get()
            .trim()
            .replace(',', ".")
            // A minus sign as some keyboards write it.
            .replace('\u{2212}', "-")
            .parse::<f64>()
            .ok()
            .filter(|value| value.is_finite())
    };
    view! {
        <form on:submit=move |event| {
            event.prevent_default();
            if let Some(value) = value() {
                app.act(&id, vec![EventKind::Read { step, taken: Taken::Value(value) }], || {});
            }
        } class="stack">
            <label class="field">
                <span>{asked}</span>
                <span class="measure">
                    <input type="text" inputmode="decimal" autocomplete="off"
                        on:input=move |event| said.set(event_target_value(&event))/>
                    <span>{unit}</span>
                </span>
            </label>
            <button type="submit" class="wide" prop:disabled=move || value().is_none() || app.busy.get()>
                {if again { tr!("Enter another reading") } else { tr!("Enter the reading") }}
            </button>
        </form>
    }
}

#[component]
fn SeenForm(id: String, step: u32, what: String) -> impl IntoView {
    let app = app();
    let id = StoredValue::new(id);
    let enter = move |seen| {
        let taken = Taken::Seen(seen);
        id.with_value(|id| app.act(id, vec![EventKind::Read { step, taken }], || {}));
    };
    view! {
        <p><strong>{localize(&what).into_owned()}</strong></p>
        <div class="pair">
            <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| enter(true)>{tr!("Yes")}</button>
            <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| enter(false)>{tr!("No")}</button>
        </div>
    }
}

/// A failure that stays: try again above, or go on with it in so many words.
#[component]
fn LeftAtThat(id: String, step: u32, kept: Option<String>) -> impl IntoView {
    let app = app();
    if let Some(note) = kept {
        let words = if note.is_empty() {
            tr!("Recorded as failed.")
        } else {
            tr!("Recorded as failed: {note}", note = note)
        };
        return view! { <p>{words}</p> }.into_any();
    }
    let note = RwSignal::new(String::new());
    view! {
        <form class="stack" on:submit=move |event| {
            event.prevent_default();
            let note = note.get_untracked().trim().to_owned();
            app.act(&id, vec![EventKind::FailureKept { step, note }], || {});
        }>
            <p class="soft">{tr!("Fix it and try again. If you continue, the wrap-up and the report show that it failed.")}</p>
            <label class="field">
                <span>{tr!("What is wrong, as far as you know")}</span>
                <input type="text" autocomplete="off" on:input=move |event| note.set(event_target_value(&event))/>
            </label>
            <button type="submit" class="wide quiet" prop:disabled=move || app.busy.get()>{tr!("Record as failed")}</button>
        </form>
    }
    .into_any()
}
