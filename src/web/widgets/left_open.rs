//! Tasks left open on earlier visits to this kind of unit, to add to the new job.

use leptos::prelude::*;

use lidoff_i18n::tr;

use crate::state::app;
use crate::widgets::dynamic::CollectAny;
use lidoff_app_core::outlook::{LeftOpen, left_open};

/// Each visit that left tasks open, with a button that adds them.
#[component]
pub fn LeftOpenVisits(
    unit: String,
    take: impl Fn(&LeftOpen) + Copy + Send + 'static,
) -> impl IntoView {
    let app = app();
    let visits = app
        .jobs
        .with_untracked(|logs| left_open(logs.as_deref().unwrap_or_default(), &unit));
    let none = visits.is_empty();
    let rows = visits
        .into_iter()
        .map(|visit| {
            let tasks: Vec<String> = visit.tasks.iter().map(|task| task.describe()).collect();
            let head = format!("{} {}", visit.opened.reference, visit.opened.site);
            let head = head.trim();
            let colon = if head.is_empty() { "" } else { ": " };
            let words = format!("{head}{colon}{}", tasks.join("; "));
            view! {
                <li class="stack">
                    <p>{words}</p>
                    <button type="button" on:click=move |_| take(&visit)>{tr!("Add these tasks")}</button>
                </li>
            }
        })
        .collect_any();
    (!none).then(|| {
        view! {
            <section class="sheet lead" aria-labelledby="left-open">
                <h2 id="left-open">{tr!("Left open on earlier visits")}</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}
