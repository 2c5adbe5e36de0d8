//! The reasons for a pause.

use leptos::prelude::*;

use crate::state::app;
use lidoff_app_core::words::sentence;
use lidoff_i18n::localize;
use lidoff_job::{EventKind, PauseReason};

/// A button for each reason: it pauses the job, and closes the sheet.
#[component]
pub fn PauseReasons(id: String, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    PauseReason::ALL
        .into_iter()
        .map(|reason| {
            let id = id.clone();
            view! {
                <button type="button" class="wide" on:click=move |_| {
                    app.act(&id, vec![EventKind::Paused { reason, note: String::new() }], move || open.set(false));
                }>{sentence(&localize(reason.name()))}</button>
            }
        })
        .collect::<Vec<_>>()
}
