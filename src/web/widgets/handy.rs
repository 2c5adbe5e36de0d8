//! What helps when both hands are in the unit: reading aloud, the screen, the
//! beep, the key for Done.

use std::sync::Arc;

use leptos::prelude::*;

use crate::input;
use crate::service::preferences::{self, Switch};
use crate::service::speech;
use crate::state::app;
use lidoff_app_core::speech::spoken;
use lidoff_i18n::tr;
use lidoff_job::{Job, PlannedStep};

/// "Read aloud", and "Stop" while it reads; nothing where there is no voice.
#[component]
pub fn ReadAloud(job: Arc<Job>, step: PlannedStep) -> impl IntoView {
    let app = app();
    let reading = RwSignal::new(false);
    let can = app.voice;
    let press = move |_| {
        if reading.get_untracked() {
            speech::stop();
            reading.set(false);
            return;
        }
        let said = speech::say(&spoken(&job, &step), move || {
            // The step may be off the screen by now.
            let _gone = reading.try_set(false);
        });
        match said {
            Ok(()) => reading.set(true),
            Err(why) => app.tell(
                true,
                tr!("This step cannot be read aloud ({why}).", why = why),
            ),
        }
    };
    view! {
        <Show when=move || can.get()>
            <button type="button" class="quiet" aria-pressed=move || reading.get().to_string() on:click=press.clone()>
                {move || if reading.get() { tr!("Stop reading") } else { tr!("Read aloud") }}
            </button>
        </Show>
    }
}

/// What can be set: closed until it is wanted.
#[component]
pub fn Settings() -> impl IntoView {
    let app = app();
    let can = app.voice;
    view! {
        <details class="sheet">
            <summary>{tr!("Screen, voice, beep, keys")}</summary>
            <div class="stack">
                <Choice label=tr!("Keep the screen on while I work") what=Switch::StayAwake
                    then=move |on| input::stay_awake(app, on)/>
                <Show when=move || can.get() fallback=|| view! {
                    <p class="soft">{tr!("Steps cannot be read aloud: this device has no voice of its own in this language. Add one in its settings.")}</p>
                }>
                    <Choice label=tr!("Read every step aloud") what=Switch::ReadAloud/>
                </Show>
                <Choice label=tr!("Beep when a wait is over or it is time to turn back") what=Switch::Beep/>
                <p class="soft">{tr!("On a keyboard, Ctrl and Enter together are Done.")}</p>
            </div>
        </details>
    }
}

/// Something that is turned on and off.
#[component]
fn Choice(
    label: String,
    what: Switch,
    #[prop(optional, into)] then: Option<Callback<bool>>,
) -> impl IntoView {
    let app = app();
    let is_on = preferences::is_on(what);
    let change = move |event| {
        let ticked = event_target_checked(&event);
        if let Err(error) = preferences::turn(what, ticked) {
            app.tell(true, error.to_string());
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
