//! A check: what to look at or measure, its limits, its verdict, and what to do if it
//! failed.

use leptos::prelude::*;

use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{When, rebuilt, text};
use crate::widgets::offer::Offer;
use lidoff_app_core::task_choice::suggested_task;
use lidoff_catalog::format::{AddedTask, OnFailure, Reading};
use lidoff_i18n::{localize, plain, tr};
use lidoff_job::{EventKind, NamedTask, ReadingTaken, Taken};

/// Asks for the reading of a step, and shows the last one.
#[component]
pub fn ReadingForm(
    job: OpenJob,
    step: u32,
    reading: Reading,
    /// A failure stops the work: it cannot be recorded and gone on from.
    stops: bool,
    /// What a failure means.
    on_failure: Option<OnFailure>,
) -> impl IntoView {
    let taken = job.slice(move |job| {
        let mut readings = job.readings.iter().rev();
        readings.find(|taken| taken.step == step).cloned()
    });
    let can_keep = Slice::new(move || {
        !stops
            && taken.with(|taken| {
                taken
                    .as_ref()
                    .is_some_and(|taken| taken.passed == Some(false))
            })
    });
    let again = Slice::new(move || taken.with(Option::is_some));
    let asked = StoredValue::new(reading.clone());
    let form = match reading {
        Reading::Value {
            what,
            unit,
            low,
            high,
        } => {
            let asked = format!("{} ({})", localize(&what), limits(low, high, &unit));
            view! { <ValueForm job step asked unit again/> }.into_any()
        }
        Reading::Seen(what) => view! { <SeenForm job step what/> }.into_any(),
    };
    let verdict = move || {
        let reading = asked.get_value();
        taken.get().map(|taken| view! { <Verdict reading taken/> })
    };
    view! {
        <section class="sheet" id="reading" tabindex="-1" aria-label=tr!("Check")>
            {rebuilt(verdict)}
            {on_failure.map(|meaning| view! { <AfterFailure job step meaning failed=can_keep/> })}
            {form}
            <When is=can_keep><KeepFailure job step/></When>
        </section>
    }
}

/// The last reading: whether it passed, and its limits.
#[component]
fn Verdict(reading: Reading, taken: ReadingTaken) -> impl IntoView {
    let failed = taken.passed == Some(false);
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
}

/// The limits as text.
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
fn ValueForm(
    job: OpenJob,
    step: u32,
    asked: String,
    unit: String,
    again: Slice<bool>,
) -> impl IntoView {
    let unit = localize(&unit).into_owned();
    let typed = RwSignal::new(String::new());
    let value = move || {
        typed
            .get()
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
                job.act(vec![EventKind::Read { step, taken: Taken::Value(value) }], move || {
                    // The step may be off the screen by now.
                    let _gone = typed.try_set(String::new());
                });
            }
        } class="stack">
            <label class="field">
                <span>{asked}</span>
                <span class="measure">
                    <input type="text" inputmode="decimal" autocomplete="off"
                        prop:value=move || typed.get()
                        on:input=move |event| typed.set(event_target_value(&event))/>
                    <span>{unit}</span>
                </span>
            </label>
            <button type="submit" class="wide" prop:disabled=move || value().is_none()>
                {text(move || if again.get() { tr!("Enter another reading") } else { tr!("Enter the reading") })}
            </button>
        </form>
    }
}

#[component]
fn SeenForm(job: OpenJob, step: u32, what: String) -> impl IntoView {
    let enter = move |seen| {
        let taken = Taken::Seen(seen);
        job.record(EventKind::Read { step, taken });
    };
    view! {
        <p><strong>{localize(&what).into_owned()}</strong></p>
        <div class="pair">
            <button type="button" on:click=move |_| enter(true)>{tr!("Yes")}</button>
            <button type="button" on:click=move |_| enter(false)>{tr!("No")}</button>
        </div>
    }
}

/// What to do after a failed reading: adjust, or add a task.
#[component]
fn AfterFailure(job: OpenJob, step: u32, meaning: OnFailure, failed: Slice<bool>) -> impl IntoView {
    let meaning = StoredValue::new(meaning);
    let times = job.slice(move |job| {
        let readings = job.readings.iter().filter(|one| one.step == step);
        readings.filter(|one| one.passed == Some(false)).count()
    });
    rebuilt(move || {
        if !failed.get() {
            return None;
        }
        Some(match meaning.get_value() {
            OnFailure::Adjust(adjustment) => {
                let (nth, most) = (times.get(), usize::from(adjustment.at_most));
                if nth > most {
                    return Some(view! { <p><strong>{tr!("Still failing after {most} adjustments. Record it as failed.", most)}</strong></p> }.into_any());
                }
                let actions = adjustment.actions.iter();
                let actions =
                    actions.map(|action| view! { <li>{localize(action).into_owned()}</li> });
                view! {
                    <p><strong>{tr!("Adjustment {nth} of at most {most}, then read again:", nth, most)}</strong></p>
                    <ol class="numbered">{actions.collect::<Vec<_>>()}</ol>
                }
                .into_any()
            }
            OnFailure::Add(task) => view! { <Suggested job task/> }.into_any(),
            OnFailure::Stop(_) | OnFailure::Isolate(_) => return None,
        })
    })
}

/// The task that a failed reading suggests, with its time.
#[component]
fn Suggested(job: OpenJob, task: AddedTask) -> impl IntoView {
    let now = job.get_untracked();
    let unit = now.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app().catalog(unit));
    let task = catalog.and_then(|catalog| suggested_task(&catalog, &task));
    let is_open = |task: &NamedTask| now.open_tasks().any(|open| open == task);
    let left_s = now.left_s();
    task.filter(|task| !is_open(task)).map(|task| {
        let label = tr!("Add the task: {task}", task = task.describe());
        let kinds = vec![EventKind::TaskAdded(task)];
        view! { <Offer job label kinds left_s then=RwSignal::new(false)/> }
    })
}

/// A failed check: try again above, or record it as failed and continue.
#[component]
fn KeepFailure(job: OpenJob, step: u32) -> impl IntoView {
    let accepted = job.slice(move |job| job.failure_kept(step).cloned());
    rebuilt(move || {
        if let Some(note) = accepted.get() {
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
                job.record(EventKind::FailureKept { step, note });
            }>
                <p class="soft">{tr!("Fix it and try again. If you continue, the wrap-up and the report show that it failed.")}</p>
                <label class="field">
                    <span>{tr!("What is wrong, as far as you know")}</span>
                    <input type="text" autocomplete="off" on:input=move |event| note.set(event_target_value(&event))/>
                </label>
                <button type="submit" class="wide quiet">{tr!("Record as failed")}</button>
            </form>
        }
        .into_any()
    })
}
