//! The button that starts the job.

use std::sync::Arc;

use leptos::prelude::*;

use super::form::Form;
use crate::navigate::go_to;
use crate::service::clock;
use crate::service::preferences::{self, Preference};
use crate::state::app;
use crate::widgets::dynamic::rows;
use lidoff_app_core::display::{format_duration, next_time_of_day};
use lidoff_app_core::planning::{self, Preview};
use lidoff_app_core::route::{Page, Route};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::tr;
use lidoff_job::{NamedTask, Opened};

/// The button, with the time that the job takes.
#[component]
pub(super) fn Start(
    catalog: Arc<Catalog>,
    form: Form,
    preview: RwSignal<Option<Result<Preview, String>>>,
    working: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let ready = move || matches!(preview.get(), Some(Ok(_))) && !working.get() && !app.busy.get();
    let start = move |_| {
        if !matches!(preview.get_untracked(), Some(Ok(_))) {
            return;
        }
        let now = app.now.get_untracked();
        let leave_by_ms = next_time_of_day(
            &form.leave_by.get_untracked(),
            now.wall_ms,
            &clock::offset_at,
        );
        let technician = form.technician.get_untracked();
        if let Err(why) = preferences::set(Preference::Technician, &technician) {
            app.notify(
                false,
                tr!("Your name could not be saved for next time: {why}", why),
            );
        }
        let found = form.tasks.get_untracked().into_iter().filter_map(|task| {
            task.find(&catalog)
                .map(|task| NamedTask::new(&catalog, task))
        });
        let opened = Opened {
            unit: planning::unit(&catalog),
            reference: form.reference.get_untracked().trim().to_owned(),
            site: form.site.get_untracked().trim().to_owned(),
            technician: technician.trim().to_owned(),
            setup: Configuration {
                fitted: form.fitted.get_untracked(),
                answers: form.answers.get_untracked(),
            },
            tasks: found.collect(),
            leave_by_ms,
            follows: form.follows.get_untracked(),
        };
        app.open(opened, |id| go_to(&Route::Job(id, Page::Plan)));
    };
    let within = move || {
        let band = match preview.get() {
            Some(Ok(preview)) => preview.plan.band,
            _ => return Vec::new(),
        };
        let [p80, p95] = [band.p80_s, band.p95_s].map(format_duration);
        vec![
            tr!("8 in 10: {time}", time = p80),
            tr!("19 in 20: {time}", time = p95),
        ]
    };
    view! {
        <div class="foot">
            <div class="one">
                <p class="spread small num" role="status">
                    {rows(within, Clone::clone, |line| view! { <span>{line}</span> })}
                </p>
                <button type="button" class="key" prop:disabled=move || !ready() on:click=start>
                    {move || match preview.get() {
                        Some(Ok(preview)) => tr!("Start: about {}", format_duration(preview.plan.band.p50_s)),
                        Some(Err(_)) => tr!("No plan is possible"),
                        None => tr!("Choose a task first"),
                    }}
                </button>
            </div>
        </div>
    }
}
