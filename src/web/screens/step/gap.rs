//! The app was closed during a step: asks how much of that time was work.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::service::clock;
use crate::slice::OpenJob;
use lidoff_job::EventKind;
use lidoff_job::fold::OpenGap;

/// Asks what happened while the app was closed during a step.
#[component]
pub(super) fn AskGap(job: OpenJob, gap: OpenGap) -> impl IntoView {
    let minutes = ((gap.to_ms - gap.from_ms) as f64 / 60_000.0)
        .round()
        .max(1.0);
    let part = RwSignal::new(String::new());
    let answer = StoredValue::new(move |work_ms: i64| {
        let OpenGap { from_ms, to_ms } = gap;
        job.act(
            vec![EventKind::Gap {
                from_ms,
                to_ms,
                work_ms,
            }],
            || {},
        );
    });
    let all_ms = gap.to_ms - gap.from_ms;
    let part_ms = move || {
        let minutes: f64 = part.get().trim().replace(',', ".").parse().ok()?;
        let ms = (minutes * 60_000.0).round() as i64;
        (minutes.is_finite() && (0..=all_ms).contains(&ms)).then_some(ms)
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Lidoff was closed during the job")}</h1>
            <p>
                {tr!("From {from} to {to} ({minutes} min). How much of that was work?",
                    from = clock::time_of_day(gap.from_ms), to = clock::time_of_day(gap.to_ms), minutes = minutes as i64)}
            </p>
            <button type="button" class="wide tall" on:click=move |_| answer.with_value(|answer| answer(all_ms))>{tr!("All of it was work")}</button>
            <button type="button" class="wide tall" on:click=move |_| answer.with_value(|answer| answer(0))>{tr!("None: it was a pause")}</button>
            <form class="sheet" on:submit=move |event| {
                event.prevent_default();
                if let Some(ms) = part_ms() {
                    answer.with_value(|answer| answer(ms));
                }
            }>
                <label class="field">
                    <span>{tr!("Minutes worked")}</span>
                    <input type="text" inputmode="decimal" on:input=move |event| part.set(event_target_value(&event))/>
                </label>
                <button type="submit" prop:disabled=move || part_ms().is_none()>{tr!("Count these minutes as work")}</button>
            </form>
        </div>
    }
}
