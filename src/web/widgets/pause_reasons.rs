//! The reasons for a pause.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::CollectAny;
use lidoff_app_core::display::capitalize;
use lidoff_i18n::localize;
use lidoff_job::{EventKind, PauseReason};

/// A button for each reason: it pauses the job, and closes the sheet.
#[component]
pub fn PauseReasons(job: OpenJob, open: RwSignal<bool>) -> impl IntoView {
    PauseReason::ALL
        .into_iter()
        .map(|reason| {
            view! {
                <button type="button" class="wide" on:click=move |_| {
                    job.act_and_close(vec![EventKind::Paused { reason, part: None, note: String::new() }], open);
                }>{capitalize(&localize(reason.name()))}</button>
            }
        })
        .collect_any()
}
