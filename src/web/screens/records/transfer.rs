//! Records to a file and back: nothing on this device is overwritten.

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::service::catalogs;
use crate::service::event_store::EventStore;
use crate::service::files;
use crate::service::photos::photos;
use crate::service::quarantine::UnreadableRecord;
use crate::service::saved;
use crate::start;
use crate::state::App;
use lidoff_app_core::display::format_date;
use lidoff_i18n::tr;
use lidoff_job::{JobId, Log, QuarantinedRecord};
use lidoff_limits::LARGEST_FILE;
use lidoff_report::exchange::backup::{self, Backup};

/// Lets the user choose a file of records or of one job, and takes it in.
pub(super) fn open_file(app: App) {
    let asked = files::open(".json,.txt");
    spawn_local(async move {
        let chosen = match asked.await {
            Ok(Some(chosen)) => chosen,
            Ok(None) => return,
            Err(error) => return app.notify(true, error.to_string()),
        };
        match (backup::read(&chosen.text), app.event_store()) {
            (Ok(backup), Some(event_store)) => {
                take_in(app, &event_store, &chosen.name, backup).await;
            }
            (Ok(_), None) => {}
            (Err(error), _) => app.notify(true, format!("{}: {error}", chosen.name)),
        }
    });
}

async fn take_in(app: App, event_store: &EventStore, file: &str, backup: Backup) {
    let Backup {
        mut jobs,
        mut unreadable,
        photos: pictures,
        catalogs: texts,
    } = backup;
    let known = app.unreadable.get_untracked();
    unreadable.retain(|(job, one)| {
        let is_same = |known: &UnreadableRecord| known.job == *job && known.note.text == one.text;
        !known.iter().any(is_same)
    });
    for (job, _) in &unreadable {
        if jobs.iter().all(|log| log.job() != job) {
            jobs.push(Log::new(job.clone()));
        }
    }
    let (mut new, mut aside, many) = (0, 0, jobs.len());
    for log in jobs {
        let of_job = |(job, _): &&(JobId, QuarantinedRecord)| job == log.job();
        let unreadable = unreadable.iter().filter(of_job).map(|(_, one)| one.clone());
        let unreadable = unreadable.collect();
        let taken = match event_store.take_in(log, unreadable).await {
            Ok(taken) => taken,
            Err(error) => return app.notify(true, error.to_string()),
        };
        if let Some(trouble) = taken.saved.banner() {
            app.notify(true, trouble);
        }
        new += taken.new;
        aside += taken.set_aside.len();
        app.unreadable.update(|all| all.extend(taken.set_aside));
        app.put(taken.log);
    }
    if !pictures.is_empty()
        && let Err(error) = photos().take_in(pictures).await
    {
        app.notify(true, error.to_string());
    }
    let added = app.added.get_untracked();
    for (name, text) in texts {
        if added.iter().all(|one| one.file != name)
            && let Err(error) = catalogs::add(event_store.journal(), &name, &text).await
        {
            app.notify(true, error.to_string());
        }
    }
    start::fill_library(app).await;
    app.record_what_is_due();
    let jobs = tr!("one job" | "{n} jobs" % many);
    app.notify(
        false,
        tr!(
            "“{file}”: {jobs} read, {new} new entries added. Nothing was overwritten.",
            file,
            jobs,
            new
        ),
    );
    if aside > 0 {
        app.notify(
            true,
            tr!(
                "One entry of the file was set aside. See “Unreadable records”."
                    | "{n} entries of the file were set aside. See “Unreadable records”." % aside
            ),
        );
    }
}

/// Saves these jobs to a file, with their photos, and with all added catalogs if `all`.
pub(super) fn save(app: App, stem: String, jobs: Vec<Log>, all: bool) {
    spawn_local(async move {
        let mut backup = Backup {
            jobs,
            ..Backup::default()
        };
        match photos().all().await {
            Ok(photos) => backup.photos = photos,
            Err(error) => app.notify(true, error.to_string()),
        }
        let jobs = &backup.jobs;
        backup
            .photos
            .retain(|(job, ..)| jobs.iter().any(|log| log.job() == job));
        if let Some(event_store) = app.event_store().filter(|_| all) {
            match catalogs::texts(event_store.journal()).await {
                Ok(texts) => backup.catalogs = texts,
                Err(error) => app.notify(true, error.to_string()),
            }
        }
        let mut text = backup::write(&backup);
        if text.len() > LARGEST_FILE {
            backup.photos.clear();
            text = backup::write(&backup);
            app.notify(
                true,
                tr!("The photos are too large for one file and were left out. Save them with each job's report."),
            );
        }
        let name = format!("{stem}.lidoff-records.json");
        if let Err(error) = files::save(&name, "application/json", &text) {
            return app.notify(true, error.to_string());
        }
        // If this is not kept, the user is reminded once more.
        let _noted = if all {
            saved::note_all(app.now.get_untracked().wall_ms)
        } else {
            let mut jobs = backup.jobs.iter();
            jobs.try_for_each(|log| saved::note_job(log.job()))
        };
    });
}

/// Saves everything to one file.
pub(super) fn save_everything(app: App) {
    let logs = app.jobs.get_untracked().unwrap_or_default();
    let now = app.now.get_untracked();
    let stem = format!("lidoff-{}", format_date(now.wall_ms, now.offset_min));
    let logs = logs.iter().map(|log| (**log).clone()).collect();
    save(app, stem, logs, true);
}
