//! The countdown of a wait before the current step.

use leptos::prelude::*;

use crate::service::{alarm, clock};
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::When;
use lidoff_app_core::display::{format_clock, format_duration};
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventKind, WaitLeft};

/// The countdown; `left` is `None` once it is over. A wait that is not for safety can be
/// ended early, with a reason.
#[component]
pub fn Countdown(
    job: OpenJob,
    step: u32,
    wait: WaitLeft,
    left: Slice<Option<i64>>,
) -> impl IntoView {
    let app = app();
    let name = format!("{} wait {step}", job.id());
    Effect::new(move |ran: Option<bool>| {
        let runs = left.get().is_some();
        if ran == Some(true) && !runs {
            alarm::once(name.clone());
        }
        runs
    });
    let now = app.now.get_untracked();
    let ends = clock::time_of_day(now.wall_ms + wait.left_ms);
    let share = move || {
        let left = left.get().unwrap_or_default() as f64;
        format!("{:.0}%", 100.0 - 100.0 * left / wait.long_ms.max(1) as f64)
    };
    let (guards, unmeasured_ms) = (wait.guards, wait.unmeasured_ms);
    let id = StoredValue::new(wait.wait);
    view! {
        <section class="sheet lead" aria-label=tr!("Wait")>
            <p><strong>{tr!("Wait: {what}", what = localize(&wait.text))}</strong></p>
            {move || match left.get() {
                Some(ms) => view! {
                    <p class="clock">
                        <span class="big-number" id="wait-left">{format_clock(ms + 999)}</span>
                        <span class="soft num">{tr!("ends at {time}", time = ends.clone())}</span>
                    </p>
                }.into_any(),
                None => view! { <p class="big-number">"✓ "{tr!("The wait is over.")}</p> }.into_any(),
            }}
            <div class="gauge" aria-hidden="true"><span style:width=share></span></div>
            <p class="hush" role="status">{move || left.get().is_none().then(|| tr!("The wait is over."))}</p>
            <When is=Signal::derive(move || left.get().is_some())>
                {if guards {
                    view! {
                        <p class="soft">{tr!("This wait is for your safety and cannot be skipped.")}</p>
                        <Unmeasured ms=unmeasured_ms/>
                    }
                    .into_any()
                } else {
                    view! { <CutShort job wait=id.get_value() step/> }.into_any()
                }}
            </When>
        </section>
    }
}

/// Says that time does not count for a wait for safety, and why.
#[component]
pub fn Unmeasured(ms: i64) -> impl IntoView {
    (ms >= 60_000).then(|| {
        let time = format_duration(ms as f64 / 1000.0);
        view! {
            <p class="change">
                {tr!("{time} by the device's clock does not count: Lidoff was closed, the device slept, or its clock was changed. Keep this screen open until the wait is over.", time)}
            </p>
        }
    })
}

#[component]
fn CutShort(job: OpenJob, wait: lidoff_catalog::format::WaitId, step: u32) -> impl IntoView {
    let why = RwSignal::new(String::new());
    let reason = move || why.with(|why| why.trim().to_owned());
    view! {
        <details>
            <summary>{tr!("End the wait early")}</summary>
            <form class="stack" on:submit=move |event| {
                event.prevent_default();
                let why = reason();
                if !why.is_empty() {
                    job.record(EventKind::WaitCutShort { wait: wait.clone(), step, why });
                }
            }>
                <label class="field">
                    <span>{tr!("Why? The report will show it.")}</span>
                    <input type="text" autocomplete="off" on:input=move |event| why.set(event_target_value(&event))/>
                </label>
                <button type="submit" prop:disabled=move || reason().is_empty()>{tr!("Continue without waiting")}</button>
            </form>
        </details>
    }
}
