//! The work is stopped because a reading failed: what failed, and what can be done.

use leptos::html;
use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::rebuilt;
use crate::widgets::offer::CloseUp;
use lidoff_catalog::format::{OnFailure, Reading};
use lidoff_i18n::{localize, plain, tr};
use lidoff_job::{Job, JobPhase, PlannedStep, Taken};

/// The card, above the reading. It is brought into view when it appears.
#[component]
pub(super) fn Alarm(
    job: OpenJob,
    step: StoredValue<PlannedStep>,
    pausing: RwSignal<bool>,
) -> impl IntoView {
    let failed = step.with_value(|step| failed_words(&job.get_untracked(), step));
    let stop = step.with_value(stop_words);
    let measure = move |_| {
        use wasm_bindgen::JsCast as _;
        let form = document().get_element_by_id("reading");
        if let Some(form) = form.and_then(|it| it.dyn_into::<web_sys::HtmlElement>().ok()) {
            // Focusing scrolls there, too.
            let _focused = form.focus();
        }
    };
    let card = NodeRef::<html::Section>::new();
    Effect::new(move |_| {
        if let Some(card) = card.get() {
            // It is put into the page after this.
            request_animation_frame(move || card.scroll_into_view());
        }
    });
    let then = RwSignal::new(false);
    view! {
        <section class="hazard" id="alarm" role="alert" node_ref=card>
            <p class="signal"><span aria-hidden="true">"⚠ "</span>{tr!("STOP")}</p>
            <p>{failed}</p>
            <p><strong>{stop}</strong></p>
            <button type="button" class="wide" on:click=measure>{tr!("Measure again")}</button>
            <CloseUp job then/>
            <button type="button" class="wide" on:click=move |_| pausing.set(true)>{tr!("Pause")}</button>
        </section>
    }
}

/// A source turned out to be live on the open unit: what was read, until it is isolated again.
#[component]
pub(super) fn LiveAlarm(job: OpenJob) -> impl IntoView {
    let failed = job.slice(|job| {
        let lost = job.lost_isolation()?;
        Some(reading_words(lost.asked.as_ref(), Some(lost.taken)))
    });
    rebuilt(move || {
        let failed = failed.get()?;
        Some(view! {
            <section class="hazard" role="alert">
                <p class="signal"><span aria-hidden="true">"⚠ "</span>{tr!("STOP")}</p>
                <p>{failed}</p>
                <p><strong>{tr!("The unit is open and live. Step back, hands out. Find what still feeds it: the wrong plug, a second feed. Isolate it, then measure again.")}</strong></p>
            </section>
        })
    })
}

/// "At the terminals: 230 V".
fn failed_words(job: &Job, step: &PlannedStep) -> String {
    let mut readings = job.readings.iter().rev();
    let taken = readings.find(|one| one.step == step.number);
    reading_words(step.reading.as_ref(), taken.map(|one| one.taken))
}

fn reading_words(asked: Option<&Reading>, taken: Option<Taken>) -> String {
    match (asked, taken) {
        (Some(Reading::Value { what, unit, .. }), Some(Taken::Value(value))) => {
            format!("{}: {} {}", localize(what), plain(value), localize(unit))
        }
        (Some(Reading::Value { what, .. } | Reading::Seen(what)), _) => {
            tr!("Failed: {what}", what = localize(what))
        }
        (None, _) => String::new(),
    }
}

fn stop_words(step: &PlannedStep) -> String {
    let words = match &step.on_failure {
        Some(OnFailure::Stop(words)) => localize(words).into_owned(),
        _ if step.phase == JobPhase::Isolate => {
            tr!("The unit may be live. Keep hands out.")
        }
        _ => String::new(),
    };
    format!("{} {words}", tr!("Do not go on."))
        .trim_end()
        .to_owned()
}
