//! Time limits that run: how long is left, or by how much they are exceeded. They stop nothing.

use leptos::prelude::*;

use crate::service::{alarm, clock};
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{rows, text};
use lidoff_app_core::display::format_clock;
use lidoff_i18n::{localize, tr};
use lidoff_job::LimitLeft;

/// Each limit that runs.
#[component]
pub fn Limits(job: OpenJob) -> impl IntoView {
    let app = app();
    let running = Slice::new(move || job.get().limits_running(&app.now.get()));
    rows(
        move || running.get(),
        |limit| limit.limit.clone(),
        move |limit| view! { <Limit job limit running/> },
    )
}

#[component]
fn Limit(job: OpenJob, limit: LimitLeft, running: Slice<Vec<LimitLeft>>) -> impl IntoView {
    let app = app();
    let id = StoredValue::new(limit.limit.clone());
    let left_ms = Slice::new(move || {
        running.with(|all| {
            let mut all = all.iter();
            let this = all.find(|one| id.with_value(|id| one.limit == *id));
            this.map(|one| one.left_ms)
        })
    });
    let name = format!("{} limit {}", job.id(), limit.limit);
    Effect::new(move |was_over: Option<bool>| {
        let is_over = left_ms.get().is_some_and(|left| left <= 0);
        if was_over == Some(false) && is_over {
            alarm::once(name.clone());
        }
        is_over
    });
    let now = app.now.get_untracked();
    let ends = clock::time_of_day(now.wall_ms + limit.left_ms);
    let clock = move || match left_ms.get().unwrap_or_default() {
        left if left > 0 => format_clock(left + 999),
        left => format!("−{}", format_clock(-left)),
    };
    let over = Slice::new(move || left_ms.get().is_some_and(|left| left <= 0));
    let warning = tr!("Time limit exceeded. Carry on; the report will show it.");
    view! {
        <section class="sheet lead" aria-label=tr!("Time limit")>
            <p class="row apart">
                <span><strong>{localize(&limit.text).into_owned()}</strong>" "{tr!("by {time}", time = ends)}</span>
                <strong class="big-number">{text(clock)}</strong>
            </p>
            <div role="alert">
                {move || over.get().then(|| view! { <p class="change">{warning.clone()}</p> })}
            </div>
        </section>
    }
}
