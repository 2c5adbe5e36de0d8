//! Exports: the report, the report with photos, the job file.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::service::files;
use crate::service::photos::photos;
use crate::share::{save_job, share_text};
use crate::slice::OpenJob;
use crate::state::{App, app};
use lidoff_i18n::tr;
use lidoff_job::Log;
use lidoff_report::exchange::job_document::without_names;
use lidoff_report::exchange::page::{self, Picture};
use lidoff_report::exchange::report;

/// Save or share.
#[component]
pub(super) fn Export(job: OpenJob) -> impl IntoView {
    let app = app();
    let log = move || untrack(|| app.log(&job.id()));
    let share = move |_| {
        let Some(log) = log() else { return };
        let job = lidoff_job::fold(&log);
        let (name, text) = (report::file_name(&job), report::report(&job));
        share_text(app, &tr!("Lidoff job"), &name, "text/plain", &text);
    };
    let without = RwSignal::new(false);
    let save = move |_| {
        let Some(log) = log() else { return };
        if without.get_untracked() {
            save_job(app, &without_names(&log));
        } else {
            save_job(app, &log);
        }
    };
    let page = move |_| {
        let Some(log) = log() else { return };
        spawn_local(save_page(app, log));
    };
    view! {
        <div class="stack">
            <button type="button" class="wide" on:click=share>{tr!("Share the report")}</button>
            <button type="button" class="wide" on:click=page>{tr!("Save the report with photos")}</button>
            <button type="button" class="wide" on:click=save>{tr!("Save the job to a file")}</button>
            <label class="tick">
                <input type="checkbox" on:change=move |event| without.set(event_target_checked(&event))/>
                <span>{tr!("In the job file, leave out the technician, the site and the person it was handed to. Notes stay.")}</span>
            </label>
        </div>
    }
}

/// Saves the report as a page that holds its photos.
async fn save_page(app: App, log: Arc<Log>) {
    let job = lidoff_job::fold(&log);
    let found = if job.photos.is_empty() {
        Ok(Vec::new())
    } else {
        photos().of_job(log.job()).await
    };
    let pictures = match found {
        Ok(all) => all,
        Err(error) => {
            // The page marks each missing photo as being on another device.
            app.notify(true, error.to_string());
            Vec::new()
        }
    };
    let pictures: Vec<Picture> = pictures
        .into_iter()
        .map(|(name, data)| Picture { name, data })
        .collect();
    let text = page::page(&job, &pictures);
    if let Err(error) = files::save(&page::page_name(&job), "text/html", &text) {
        app.notify(true, error.to_string());
    }
}
