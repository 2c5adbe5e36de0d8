//! Values to write down at a step: serial numbers, counters, choices, words, photos.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use crate::widgets::photos::TakePhoto;
use lidoff_catalog::format::{OldOrNew, Pattern, Record, RecordKind};
use lidoff_i18n::{localize, tr};
use lidoff_job::fold::{ValueRecorded, describe_record};
use lidoff_job::{EventKind, PlannedStep, RecordedValue};

/// One value: the field, what was saved, and the value of the old part beside that of the new.
#[component]
pub(super) fn RecordForm(
    job: OpenJob,
    step: StoredValue<PlannedStep>,
    record: Record,
) -> impl IntoView {
    let number = step.with_value(|step| step.number);
    let id = record.id.clone();
    let saved = job.slice(move |job| {
        step.with_value(|step| job.value_at(step, &id).map(ValueRecorded::describe))
    });
    let old = match &record.old_or_new {
        Some(OldOrNew::New(of)) => job
            .get_untracked()
            .value_of(of)
            .map(ValueRecorded::describe),
        _ => None,
    };
    let label = describe_record(&record);
    let label = if record.required {
        label
    } else {
        tr!("{what} (may be left out)", what = label)
    };
    let id = record.id.clone();
    let keep = move |value| {
        let record = id.clone();
        job.record(EventKind::Recorded {
            step: number,
            record,
            value,
        });
    };
    let field = match &record.kind {
        RecordKind::Photo => {
            let id = record.id.clone();
            view! { <p>{label}</p><TakePhoto job step=number record=id/> }.into_any()
        }
        RecordKind::Choice(choices) => {
            let options = choices
                .iter()
                .map(|choice| {
                    let text = localize(choice).into_owned();
                    view! { <option value=choice.clone()>{text}</option> }
                })
                .collect_any();
            view! {
                <label class="field">
                    <span>{label}</span>
                    <select on:change=move |event| keep(RecordedValue::Text(event_target_value(&event)))>
                        <option value="" disabled=true selected=true>{tr!("Choose")}</option>
                        {options}
                    </select>
                </label>
            }
            .into_any()
        }
        kind => typed(
            label,
            *kind == RecordKind::Counter,
            record.pattern.as_ref(),
            keep,
        ),
    };
    let saved = rebuilt(move || {
        let saved = saved.get()?;
        Some(view! { <p role="status">{tr!("Saved: {value}", value = saved)}</p> })
    });
    view! {
        <section class="sheet" aria-label=tr!("Write down")>
            {old.map(|old| view! { <p class="soft">{tr!("Old part: {value}", value = old)}</p> })}
            {field}
            {saved}
        </section>
    }
}

/// A field to type in.
fn typed(
    label: String,
    is_counter: bool,
    pattern: Option<&Pattern>,
    keep: impl Fn(RecordedValue) + 'static,
) -> AnyView {
    let words = RwSignal::new(String::new());
    let value = move || {
        let words = words.get().trim().to_owned();
        if is_counter {
            words.parse().ok().map(RecordedValue::Number)
        } else {
            (!words.is_empty()).then_some(RecordedValue::Text(words))
        }
    };
    let example = pattern.map(Pattern::example);
    let example = example.map(|example| {
        view! { <span class="soft small">{tr!("For example {example}", example)}</span> }
    });
    view! {
        <form class="stack" on:submit=move |event| {
            event.prevent_default();
            if let Some(value) = untrack(value) {
                keep(value);
            }
        }>
            <label class="field">
                <span>{label}</span>
                <input type="text" autocomplete="off" autocapitalize="characters" spellcheck="false"
                    inputmode=if is_counter { "numeric" } else { "text" }
                    on:input=move |event| words.set(event_target_value(&event))/>
                {example}
            </label>
            <button type="submit" class="wide" prop:disabled=move || value().is_none()>{tr!("Save")}</button>
        </form>
    }
    .into_any()
}
