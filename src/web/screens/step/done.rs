//! The Done button and its keyboard shortcut.

use leptos::ev;
use leptos::prelude::*;

use crate::navigate::go_to;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::taps::{Taps, input_clock_ms};
use crate::widgets::dynamic::text;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::tr;
use lidoff_job::fold::Demands;
use lidoff_job::{EventKind, Job};

/// What the step still asks for, in the order in which it asks.
const ASKED: [&str; 6] = [
    ".hazard button:not(.back)",
    ".step fieldset.sheet",
    "#reading",
    "[aria-label='Check'] button",
    ".step form:has(button)",
    "label.boxed input:enabled",
];

/// Brings what the step asks for next into view.
fn go_to_what_is_asked() {
    let mut found = ASKED
        .iter()
        .filter_map(|css| document().query_selector(css).ok()?);
    if let Some(asked) = found.next() {
        asked.scroll_into_view();
    }
}

/// The button of step `number`. If something is missing, it says what, and leads there.
#[component]
pub(super) fn DoneButton(
    job: OpenJob,
    number: u32,
    demands: Slice<Demands>,
    is_waiting: Slice<bool>,
    stopped: Slice<bool>,
    /// Whether the step is checked by eye, not by a figure.
    by_eye: bool,
    taps: Taps,
) -> impl IntoView {
    let app = app();
    let is_shut = move || !demands.with(Demands::is_met) || is_waiting.get();
    // There is nothing to go to where only time can help.
    let only_waits = move || is_waiting.get() && demands.with(Demands::is_met);
    let shown_ms = input_clock_ms();
    let press = move |event: &web_sys::Event| {
        if untrack(is_shut) {
            return go_to_what_is_asked();
        }
        if !taps.take(shown_ms, event) {
            return;
        }
        // Whoever has done the step has had the time to read them.
        app.notices.update(|all| all.retain(|one| one.bad));
        let is_last = job.get_untracked().remaining.len() == 1;
        let id = job.id();
        job.act(vec![EventKind::Done { step: number }], move || {
            if is_last {
                go_to(&Route::Job(id, Page::WrapUp));
            } else {
                window().scroll_to_with_x_and_y(0.0, 0.0);
            }
        });
    };
    let pressed = window_event_listener(ev::keydown, move |event| {
        let enter = event.key() == "Enter" && (event.ctrl_key() || event.meta_key());
        if enter && !event.repeat() && !is_dialog_open() {
            press(&event);
        }
    });
    on_cleanup(move || pressed.remove());
    let only_hazard_waits = job.slice(Job::only_hazard_waits_left);
    let label = move || {
        demands.with(|demands| {
            if !demands.heed.is_empty() {
                if only_hazard_waits.get() {
                    tr!("Wait first")
                } else {
                    tr!("Tick the hazard first")
                }
            } else if demands.answer.is_some() {
                tr!("Answer first")
            } else if stopped.get() {
                tr!("Reading failed")
            } else if demands.read && by_eye {
                tr!("Answer first")
            } else if demands.read {
                tr!("Enter the reading first")
            } else if !demands.record.is_empty() {
                tr!("Write down the value first")
            } else if demands.confirm {
                tr!("Confirm first")
            } else if is_waiting.get() {
                tr!("Wait first")
            } else {
                tr!("Done")
            }
        })
    };
    view! {
        <button type="button" class="key" class:shut=is_shut id="done" aria-keyshortcuts="Control+Enter Meta+Enter"
            prop:disabled=only_waits on:click=move |event| press(&event)>{text(label)}</button>
    }
}

/// Whether a dialog is open over the step.
fn is_dialog_open() -> bool {
    document()
        .query_selector("dialog[open]")
        .is_ok_and(|found| found.is_some())
}
