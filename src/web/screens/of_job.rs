//! The common frame of the screens of a job.

use std::time::Duration;

use leptos::prelude::*;

use crate::navigate::restore_focus;
use crate::screens::lost::Lost;
use crate::slice::{OpenJob, Slice};
use crate::state::{Archive, app};
use crate::widgets::dynamic::rebuilt;
use lidoff_i18n::{localize, tr};

/// How long a screen waits for the catalogs; without them it has no drawings and
/// questions, but a technician must not be kept from the step.
const PATIENCE: Duration = Duration::from_secs(3);

/// Whether the job of a screen is on this device.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Presence {
    /// The jobs or the catalogs are not read yet.
    Loading,
    /// It may be among the archived jobs, which are read now.
    Archived,
    /// There is no such job.
    Missing,
    /// It is here.
    Here,
}

/// A screen of this job. While the jobs are loading it is a title; a job that is not on
/// this device is reported.
pub fn of_job(id: String, title: impl Into<String>, show: fn(OpenJob) -> AnyView) -> impl IntoView {
    let app = app();
    let title = localize(&title.into()).into_owned();
    let wanted = id.clone();
    let waited = RwSignal::new(false);
    // A screen that is gone waits no more.
    set_timeout(
        move || {
            let _gone = waited.try_set(true);
        },
        PATIENCE,
    );
    // A screen drawn before its catalog is drawn again when that arrives, under the thumb.
    let reading = Slice::new(move || app.library.with(Option::is_none) && !waited.get());
    let presence = Slice::new(move || {
        if reading.get() || app.jobs.with(Option::is_none) {
            Presence::Loading
        } else if app.log(&wanted).is_some() {
            Presence::Here
        } else if app.archive.get() == Archive::Read {
            Presence::Missing
        } else {
            Presence::Archived
        }
    });
    Effect::new(move |_| {
        if presence.get() == Presence::Archived {
            app.read_archive();
        }
    });
    rebuilt(move || match presence.get() {
        Presence::Here => {
            let job = OpenJob::follow(app, id.clone());
            // An event may remove the element with the focus.
            Effect::new(move |_| {
                let _each_event = job.get();
                restore_focus();
            });
            show(job)
        }
        Presence::Loading | Presence::Archived => view! {
            <div class="screen">
                <h1 tabindex="-1">{title.clone()}</h1>
                <p>{tr!("Loading the jobs on this device.")}</p>
            </div>
        }
        .into_any(),
        Presence::Missing => view! { <Lost path=id.clone()/> }.into_any(),
    })
}
