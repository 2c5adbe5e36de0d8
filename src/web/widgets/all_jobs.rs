//! What needs all jobs, the archived ones too.

use leptos::prelude::*;

use crate::state::{Archive, app};
use crate::widgets::dynamic::rebuilt;
use lidoff_i18n::tr;

/// Shows this once all jobs are read.
pub fn with_all_jobs(show: impl Fn() -> AnyView + Send + Sync + 'static) -> impl IntoView {
    let app = app();
    Effect::new(move |_| {
        if app.jobs.with(Option::is_some) && app.archive.get() == Archive::Unread {
            app.read_archive();
        }
    });
    rebuilt(move || {
        if app.archive.get() == Archive::Read {
            show()
        } else {
            view! { <p>{tr!("Loading the jobs on this device.")}</p> }.into_any()
        }
    })
}
