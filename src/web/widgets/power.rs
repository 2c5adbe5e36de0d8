//! The present state of the energy sources.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{When, text};
use lidoff_job::Job;

/// "Mains locked off · battery unplugged"; nothing if the unit has no sources.
#[component]
pub fn PowerLine(job: OpenJob) -> impl IntoView {
    let line = job.slice(power_words);
    view! {
        <When is=Signal::derive(move || line.with(|line| !line.is_empty()))>
            <p class="power" role="status">{text(move || line.get())}</p>
        </When>
    }
}

fn power_words(job: &Job) -> String {
    job.power_line().collect::<Vec<_>>().join(" · ")
}
