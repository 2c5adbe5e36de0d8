//! A screen of one job: shown again whenever the job changes.

use std::sync::Arc;

use leptos::prelude::*;

use crate::navigate::restore_focus;
use crate::screens::lost::Lost;
use crate::state::{app, job_memo};
use lidoff_i18n::{localize, tr};
use lidoff_job::Job;

/// The screen of this job; its title is all there is while the jobs are read, and
/// a job that is not there is said to be so.
pub fn of_job(
    job: String,
    title: impl Into<String>,
    shown: fn(String, Arc<Job>) -> AnyView,
) -> impl IntoView {
    let app = app();
    let title = localize(&title.into()).into_owned();
    let folded = job_memo(app, job.clone());
    move || match folded.get() {
        Some(fold) => {
            restore_focus();
            shown(job.clone(), fold)
        }
        None if app.jobs.with(Option::is_none) => view! {
            <div class="screen">
                <h1 tabindex="-1">{title.clone()}</h1>
                <p>{tr!("Loading the jobs on this device.")}</p>
            </div>
        }
        .into_any(),
        None => view! { <Lost path=job.clone()/> }.into_any(),
    }
}
