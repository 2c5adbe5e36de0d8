//! Why an operation is in the plan, worked out when it is asked.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::planning;
use crate::app::state::app;
use crate::job::Job;

/// "Why?" for the operation that this step begins.
#[component]
pub fn Why(job: Arc<Job>, number: u32, action: String) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let lines = move || {
        let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
        let catalog = unit.and_then(|unit| app.catalog(unit));
        let Some(catalog) = catalog else {
            return vec!["The catalog of this unit is not on this device.".to_owned()];
        };
        planning::reasons(&job, &catalog, &app.now.get_untracked(), number)
            .unwrap_or_else(|why| vec![why])
    };
    view! {
        <details class="why" on:toggle=move |_| open.update(|open| *open = !*open)>
            <summary>"Why?"<span class="hush">{action}</span></summary>
            {move || open.get().then(|| {
                let rows: Vec<_> = lines().into_iter().map(|line| view! { <li>{line}</li> }).collect();
                view! { <ul class="marked">{rows}</ul> }
            })}
        </details>
    }
}
