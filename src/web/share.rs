//! Shares a text or a job, or saves it to a file.

use leptos::task::spawn_local;

use super::service::files::{self, Shared};
use super::service::saved;
use super::state::App;
use lidoff_i18n::tr;
use lidoff_job::Log;
use lidoff_report::exchange::job_document;

/// Shares a text as a file, and reports the outcome if the device does not show it.
pub fn share_text(app: App, title: &str, name: &str, mime: &str, text: &str) {
    let sent = files::share(title, name, mime, text);
    spawn_local(async move {
        match sent.await {
            Ok(Shared::Sent | Shared::Saved | Shared::Cancelled) => {}
            Ok(Shared::Copied) => app.notify(false, tr!("Copied to the clipboard.")),
            Err(error) => app.notify(true, error.to_string()),
        }
    });
}

/// Saves a job to a file.
pub fn save_job(app: App, log: &Log) {
    let (name, text) = job_document::job_document(log);
    match files::save(&name, "application/json", &text) {
        // If this is not kept, the user is reminded once more.
        Ok(_) => drop(saved::note_job(log.job())),
        Err(error) => app.notify(true, error.to_string()),
    }
}
