//! Settings for busy hands: reading aloud, screen on, beep, keyboard shortcut for Done.

use leptos::prelude::*;

use crate::input;
use crate::service::preferences::{self, Switch};
use crate::service::speech;
use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::dynamic::When;
use lidoff_app_core::speech::spoken_text;
use lidoff_i18n::tr;
use lidoff_job::PlannedStep;

/// "Read aloud", and "Stop" while it reads; nothing if there is no voice.
#[component]
pub fn ReadAloud(job: OpenJob, step: PlannedStep) -> impl IntoView {
    let app = app();
    let reading = RwSignal::new(false);
    let can = app.voice;
    let press = move |_| {
        if reading.get_untracked() {
            speech::stop();
            reading.set(false);
            return;
        }
        let spoken = speech::say(&spoken_text(&job.get_untracked(), &step), move || {
            // The step may be off the screen by now.
            let _gone = reading.try_set(false);
        });
        match spoken {
            Ok(()) => reading.set(true),
            Err(why) => app.notify(
                true,
                tr!("This step cannot be read aloud ({why}).", why = why),
            ),
        }
    };
    view! {
        <When is=can>
            <button type="button" class="quiet" aria-pressed=move || reading.get().to_string() on:click=press.clone()>
                {move || if reading.get() { tr!("Stop reading") } else { tr!("Read aloud") }}
            </button>
        </When>
    }
}

/// The settings, collapsed at first.
#[component]
pub fn Settings() -> impl IntoView {
    let app = app();
    let can = app.voice;
    view! {
        <details class="sheet">
            <summary>{tr!("Screen, voice, beep, keyboard")}</summary>
            <div class="stack">
                <Toggle label=tr!("Keep the screen on while I work") switch=Switch::StayAwake
                    then=move |on| input::stay_awake(app, on)/>
                <Show when=move || can.get() fallback=|| view! {
                    <p class="soft">{tr!("This device has no offline voice for this language. Add one in its settings to have steps read aloud.")}</p>
                }>
                    <Toggle label=tr!("Read every step aloud") switch=Switch::ReadAloud/>
                </Show>
                <Toggle label=tr!("Beep when a wait ends or it is time to turn back") switch=Switch::Beep/>
                <p class="soft">{tr!("On a keyboard, press Ctrl+Enter for Done.")}</p>
            </div>
        </details>
    }
}

/// A switch that is remembered.
#[component]
fn Toggle(
    label: String,
    switch: Switch,
    #[prop(optional, into)] then: Option<Callback<bool>>,
) -> impl IntoView {
    let app = app();
    let is_on = preferences::is_on(switch);
    let change = move |event| {
        let ticked = event_target_checked(&event);
        if let Err(error) = preferences::turn(switch, ticked) {
            app.notify(true, error.to_string());
        }
        if let Some(then) = then {
            then.run(ticked);
        }
    };
    view! {
        <label class="tick">
            <input type="checkbox" prop:checked=is_on on:change=change/>
            <span>{label}</span>
        </label>
    }
}
