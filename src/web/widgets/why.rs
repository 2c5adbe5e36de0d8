//! Why an operation is in the plan, computed on request.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::generation::Generation;
use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::rows;
use lidoff_app_core::reasons::reasons;
use lidoff_i18n::tr;

/// The reason for a step of a profile.
pub fn show_reason(job: OpenJob, number: u32, action: String) -> AnyView {
    view! { <Why job number action/> }.into_any()
}

/// The reason for this step, or for the operation that it starts.
#[component]
pub fn Why(job: OpenJob, number: u32, action: String) -> impl IntoView {
    let open = RwSignal::new(false);
    view! {
        <Disclosure class="why" open
            summary=move || view! { {tr!("Why?")}<span class="hush">{action.clone()}</span> }
            inside=move || view! { <Reasons job number/> }/>
    }
}

/// The reasons as a list, computed again for each state of the job.
#[component]
pub fn Reasons(job: OpenJob, number: u32) -> impl IntoView {
    let app = app();
    let lines = RwSignal::new(vec![tr!("Working out the reason.")]);
    let latest = Generation::new();
    Effect::new(move |_| {
        let (id, job) = (job.id(), job.get());
        let is_wanted = latest.begin();
        spawn_local(async move {
            let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
            let found = match unit.and_then(|unit| app.catalog(unit)) {
                Some(catalog) => {
                    let now = app.now.get_untracked();
                    let mut progress_handler = app.progress_handler(is_wanted);
                    let log = app.log(&id);
                    reasons(
                        log.as_deref(),
                        &job,
                        &catalog,
                        &now,
                        number,
                        &mut progress_handler,
                    )
                    .await
                }
                None => Err(tr!("The catalog for this unit is not on this device.")),
            };
            if is_wanted() {
                let _gone = lines.try_set(found.unwrap_or_else(|why| vec![why]));
            }
        });
    });
    let line = |line: &String| line.clone();
    view! { <ul class="marked">{rows(move || lines.get(), line, |line| view! { <li>{line}</li> })}</ul> }
}
