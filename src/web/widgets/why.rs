//! Why an operation is in the plan, worked out when it is asked.

use std::sync::Arc;

use leptos::prelude::*;

use lidoff_i18n::tr;

use leptos::task::spawn_local;
use lidoff_app_core::reasons::reasons;

use crate::state::app;
use crate::widgets::unfold::Unfold;
use lidoff_job::Job;

/// "Why?" for a step of a profile.
pub fn show_reason(job: Arc<Job>, number: u32, action: String) -> AnyView {
    view! { <Why job number action/> }.into_any()
}

/// "Why?" for this step, or for the operation that it begins; of a step that is done
/// only where the job is named.
#[component]
pub fn Why(
    job: Arc<Job>,
    number: u32,
    action: String,
    #[prop(optional)] id: String,
) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let lines = RwSignal::new(None::<Vec<String>>);
    let work_out = move || {
        let (id, job) = (id.clone(), job.clone());
        spawn_local(async move {
            let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
            let found = match unit.and_then(|unit| app.catalog(unit)) {
                Some(catalog) => {
                    let now = app.now.get_untracked();
                    let wanted = move || open.try_get_untracked() == Some(true);
                    let mut patience = app.patience(wanted);
                    let log = app.log(&id);
                    reasons(log.as_deref(), &job, &catalog, &now, number, &mut patience).await
                }
                None => Err(tr!("The catalog for this unit is not on this device.")),
            };
            let _gone = lines.try_set(Some(found.unwrap_or_else(|why| vec![why])));
        });
    };
    Effect::new(move |_| {
        if open.get() {
            work_out();
        }
    });
    view! {
        <Unfold class="why" open
            summary=move || view! { {tr!("Why?")}<span class="hush">{action.clone()}</span> }
            inside=move || {
                let lines = lines.get().unwrap_or_else(|| vec![tr!("Working out the reason.")]);
                let rows: Vec<_> = lines.into_iter().map(|line| view! { <li>{line}</li> }).collect();
                view! { <ul class="marked">{rows}</ul> }
            }/>
    }
}
