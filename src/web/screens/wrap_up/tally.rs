//! The tally: zero, or what is not accounted for, with reasons.

use leptos::prelude::*;

use crate::slice::{OpenJob, Slice};
use crate::widgets::dynamic::{When, rows, text};
use lidoff_i18n::tr;
use lidoff_job::tally;
use lidoff_job::tally::Unaccounted;
use lidoff_report::exchange::report;

/// The section.
#[component]
pub(super) fn TallySheet(job: OpenJob, is_open: Slice<bool>) -> impl IntoView {
    let open = job.slice(|job| {
        let mut open = tally(job).unaccounted();
        // Old parts have their own section.
        open.retain(|one| !matches!(one, Unaccounted::OldPart(_)));
        open
    });
    let empty = job.slice(|job| tally(job).left_empty());
    let reasons = job.slice(|job| report::reasons(job, &tally(job)));
    let is_zero = move || open.with(Vec::is_empty);
    let summary = move || {
        if reasons.with(Vec::is_empty) {
            tr!("Zero: everything taken out is accounted for.")
        } else {
            tr!("Accounted for, with the reasons below.")
        }
    };
    view! {
        <section class="sheet" class:lead=move || !is_zero() aria-labelledby="tally">
            <h2 id="tally">{tr!("Tally")}</h2>
            <When is=Signal::derive(is_zero)><p><strong>"✓ "{text(summary)}</strong></p></When>
            <ul class="list">
                {rows(move || open.get(), Unaccounted::describe, move |one| view! { <UnaccountedRow job one is_open/> })}
            </ul>
            <SubList title=tr!("Places left empty") lines=empty/>
            <SubList title=tr!("Reasons given") lines=reasons/>
        </section>
    }
}

/// Lines under a small title; nothing if there are none.
#[component]
fn SubList(title: String, lines: Slice<Vec<String>>) -> impl IntoView {
    let title = StoredValue::new(title);
    view! {
        <When is=Signal::derive(move || lines.with(|lines| !lines.is_empty()))>
            <h3>{title.get_value()}</h3>
            <ul class="list">{rows(move || lines.get(), Clone::clone, |line| view! { <li>{line}</li> })}</ul>
        </When>
    }
}

/// A difference in the tally, with a field for its reason.
#[component]
fn UnaccountedRow(job: OpenJob, one: Unaccounted, is_open: Slice<bool>) -> impl IntoView {
    let words = one.describe();
    let one = StoredValue::new(one);
    view! {
        <li class="stack">
            <p><strong>"○ "{words}</strong></p>
            <When is=is_open><ReasonForm job one/></When>
        </li>
    }
}

#[component]
pub(super) fn ReasonForm(job: OpenJob, one: StoredValue<Unaccounted>) -> impl IntoView {
    let typed = RwSignal::new(String::new());
    let reason = move || typed.with(|typed| typed.trim().to_owned());
    view! {
        <form class="stack" on:submit=move |event| {
            event.prevent_default();
            let reason = reason();
            if !reason.is_empty() {
                job.record(one.with_value(|one| one.because(reason)));
            }
        }>
            <label class="field">
                <span>{tr!("Why?")}</span>
                <input type="text" autocomplete="off" on:input=move |event| typed.set(event_target_value(&event))/>
            </label>
            <button type="submit" prop:disabled=move || reason().is_empty()>{tr!("Save the reason")}</button>
        </form>
    }
}
