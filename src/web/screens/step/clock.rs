//! The step's clock against its estimate.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::text;
use lidoff_app_core::display::format_clock;
use lidoff_job::PlannedStep;

#[component]
pub(super) fn StepClock(job: OpenJob, step: PlannedStep) -> impl IntoView {
    let app = app();
    let expected_ms = (step.expected_s() * 1000.0) as i64;
    let elapsed = Slice::new(move || job.get().step_elapsed_ms(&app.now.get()));
    let share = move || (100.0 * elapsed.get() as f64 / expected_ms.max(1) as f64).min(100.0);
    view! {
        <div>
            <p class="clock">
                <span class="big-number" role="timer">{text(move || format_clock(elapsed.get()))}</span>
                <span class="soft num">{tr!("estimate {expected}", expected = format_clock(expected_ms))}</span>
            </p>
            <div class="gauge" class:over=move || { elapsed.get() > expected_ms } aria-hidden="true">
                <span style:width=move || { format!("{:.0}%", share()) }></span>
            </div>
        </div>
    }
}
