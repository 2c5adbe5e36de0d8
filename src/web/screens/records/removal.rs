//! Removing from this device: a job, its photos, a catalog, everything. What goes is said
//! first, with an offer to save it.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::transfer::{save, save_everything};
use crate::service::photos::photos;
use crate::service::{catalogs, files};
use crate::share::save_job;
use crate::start;
use crate::state::{AddedCatalog, App, app};
use crate::widgets::dynamic::{CollectAny, rebuilt, rows};
use crate::widgets::photos::size_words;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::display::{format_date, job_title};
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, JobId, Log, Status};
use lidoff_report::exchange::job_document::job_document;

/// Something that can be removed.
#[derive(Clone)]
pub(super) enum Removal {
    /// A job with its photos.
    Job(Arc<Log>),
    /// A catalog that was added.
    Catalog(AddedCatalog),
    /// Everything on this device.
    Everything,
}

/// The jobs on this device, each with a button to remove it.
#[component]
pub(super) fn JobList(removal: RwSignal<Option<Removal>>) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let logs = move || app.jobs.get().filter(|_| open.get()).unwrap_or_default();
    let row = move |log: Arc<Log>| {
        let job = app.job(log.job().as_str()).unwrap_or_default();
        let at = job
            .head
            .map(|(_, at)| format_date(at.wall_ms, at.offset_min));
        let state = match &job.status {
            Status::Closed { outcome, .. } => localize(outcome.name()).into_owned(),
            _ => tr!("not closed"),
        };
        let line = format!("{}, {state}", at.unwrap_or_default());
        let title = job_title(&job);
        view! {
            <li class="row apart">
                <span>
                    <strong>{title.clone()}</strong>
                    <br/>
                    <span class="soft small">{line}</span>
                </span>
                <button type="button" class="quiet" aria-label=tr!("Remove {what}", what = title)
                    on:click=move |_| removal.set(Some(Removal::Job(Arc::clone(&log))))>{tr!("Remove")}</button>
            </li>
        }
    };
    let show = move |event: web_sys::Event| {
        let details = event.current_target();
        open.set(details.is_some_and(|details| {
            let is_open = js_sys::Reflect::get(&details, &"open".into());
            is_open.is_ok_and(|is_open| is_open.is_truthy())
        }));
    };
    view! {
        <details on:toggle=show>
            <summary>{tr!("Remove jobs from this device")}</summary>
            <ul class="list">{rows(logs, |log| log.job().clone(), row)}</ul>
            <button type="button" class="wide quiet"
                on:click=move |_| removal.set(Some(Removal::Everything))>{tr!("Remove everything from this device")}</button>
        </details>
    }
}

/// Asks before it removes.
#[component]
pub(super) fn RemovalSheet(
    removal: RwSignal<Option<Removal>>,
    then: Callback<()>,
) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    // Each sets the other only where it differs: otherwise they would go round for ever.
    Effect::new(move |_| {
        if removal.with(Option::is_some) {
            open.set(true);
        }
    });
    Effect::new(move |_| {
        if !open.get() && removal.with_untracked(Option::is_some) {
            removal.set(None);
        }
    });
    let content = move || {
        removal.get().map(|what| {
            let lines = goes(app, &what);
            let lines = lines
                .into_iter()
                .map(|line| view! { <li>{line}</li> })
                .collect_any();
            let (saved, removed, photos) = (what.clone(), what.clone(), what.clone());
            let has_photos = match &what {
                Removal::Job(log) => !folded(app, log).photos.is_empty(),
                _ => false,
            };
            view! {
                <p>{tr!("This will be removed from this device and cannot be restored:")}</p>
                <ul class="marked">{lines}</ul>
                <p class="soft">{tr!("Files that you saved or shared stay.")}</p>
                <button type="button" class="wide" on:click=move |_| save_first(app, &saved)>{tr!("Save to a file first")}</button>
                {has_photos.then(|| view! {
                    <button type="button" class="wide quiet"
                        on:click=move |_| remove_photos(app, &photos, open, then)>{tr!("Remove only the photos")}</button>
                })}
                <button type="button" class="wide wrong" id="remove-now"
                    on:click=move |_| remove(app, removed.clone(), open, then)>{tr!("Remove now")}</button>
            }
        })
    };
    view! {
        <Sheet open title=tr!("Remove from this device?")>{rebuilt(content)}</Sheet>
    }
}

fn folded(app: App, log: &Log) -> Arc<Job> {
    untrack(|| app.job(log.job().as_str())).unwrap_or_default()
}

/// What goes, line by line.
fn goes(app: App, what: &Removal) -> Vec<String> {
    match what {
        Removal::Job(log) => {
            let job = folded(app, log);
            let entries = tr!("one entry" | "{n} entries" % log.events().len());
            let mut lines = vec![tr!(
                "Job {title}: {entries}",
                title = job_title(&job),
                entries
            )];
            if !job.photos.is_empty() {
                lines.push(size_words(&job.photos));
            }
            if !matches!(job.status, Status::Closed { .. }) {
                lines.push(tr!("This job is not closed: the work on it is lost."));
            }
            lines
        }
        Removal::Catalog(AddedCatalog { file, name, unit }) => {
            let mut lines = vec![tr!("Catalog {name}, added from “{file}”", name, file)];
            let jobs = app.jobs.get_untracked().unwrap_or_default();
            let needs = |log: &&Arc<Log>| {
                let job = folded(app, log);
                let opened = job.opened.as_ref();
                let is_open = !matches!(job.status, Status::Closed { .. });
                is_open && opened.is_some_and(|opened| Some(&opened.unit.id) == unit.as_ref())
            };
            let open = jobs.iter().filter(needs).count();
            if open > 0 {
                lines.push(tr!(
                    "One open job needs it. That job can be replanned only if Lidoff has a built-in catalog for this unit." | "{n} open jobs need it. They can be replanned only if Lidoff has a built-in catalog for this unit." % open
                ));
            }
            lines
        }
        Removal::Everything => {
            let jobs = app
                .jobs
                .with_untracked(|jobs| jobs.as_ref().map_or(0, Vec::len));
            vec![
                tr!("{n} job with its photos" | "{n} jobs with their photos" % jobs),
                tr!("The catalogs that you added"),
                tr!("Recorded times in use, and settings"),
            ]
        }
    }
}

fn save_first(app: App, what: &Removal) {
    match what {
        Removal::Job(log) if folded(app, log).photos.is_empty() => save_job(app, log),
        Removal::Job(log) => {
            let (name, _) = job_document(log);
            let stem = name.split('.').next().unwrap_or_default().to_owned();
            save(app, stem, vec![(**log).clone()], false);
        }
        Removal::Catalog(added) => {
            let file = added.file.clone();
            spawn_local(async move {
                let Some(event_store) = app.event_store() else {
                    return;
                };
                let texts = catalogs::texts(event_store.journal()).await;
                let texts = texts.map_err(|error| error.to_string());
                let saved = texts.and_then(|texts| {
                    let text = texts.into_iter().find(|(name, _)| *name == file);
                    let text = text.map(|(_, text)| text).unwrap_or_default();
                    files::save(&file, "application/json", &text).map_err(|error| error.to_string())
                });
                if let Err(why) = saved {
                    app.notify(true, why);
                }
            });
        }
        Removal::Everything => save_everything(app),
    }
}

fn remove_photos(app: App, what: &Removal, open: RwSignal<bool>, then: Callback<()>) {
    let Removal::Job(log) = what else { return };
    let job = log.job().clone();
    spawn_local(async move {
        match photos().forget(&job).await {
            Ok(()) => app.notify(false, tr!("The photos were removed.")),
            Err(error) => app.notify(true, error.to_string()),
        }
        open.set(false);
        then.run(());
    });
}

fn remove(app: App, what: Removal, open: RwSignal<bool>, then: Callback<()>) {
    let Some(event_store) = app.event_store() else {
        return;
    };
    spawn_local(async move {
        let ended = match &what {
            Removal::Job(log) => event_store.forget(log.job()).await,
            Removal::Catalog(added) => {
                let removed = catalogs::remove(event_store.journal(), &added.file).await;
                removed.map(|()| Vec::new()).map_err(Into::into)
            }
            Removal::Everything => {
                let logs = app.jobs.get_untracked().unwrap_or_default();
                let jobs: Vec<JobId> = logs.iter().map(|log| log.job().clone()).collect();
                event_store.forget_everything(jobs).await
            }
        };
        open.set(false);
        let troubles = match ended {
            Ok(troubles) => troubles,
            Err(error) => return app.notify(true, tr!("Nothing was removed. {error}", error)),
        };
        for trouble in &troubles {
            app.notify(
                true,
                tr!("Not everything is removed yet. Lidoff removes the rest when it starts again. {trouble}", trouble),
            );
        }
        match what {
            Removal::Job(log) => {
                app.forget(log.job());
                app.notify(false, tr!("The job was removed."));
            }
            Removal::Catalog(added) => {
                start::fill_library(app).await;
                app.notify(false, tr!("The catalog from “{}” was removed.", added.file));
            }
            Removal::Everything => {
                // Nothing of this run may write what is gone.
                let _reloads = window().location().reload();
            }
        }
        then.run(());
    });
}
