//! Book a visit: the slot for what is ticked, at a chosen certainty, with travel
//! and papers; as a calendar file.

use js_sys::Date;
use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::app::planning::Preview;
use crate::app::service::files::{self, Shared};
use crate::app::service::preferences::{self, Preference};
use crate::app::state::app;
use crate::app::words::{about, date, time_of_day};
use crate::exchange::calendar::{Visit, calendar, description};
use crate::job::outlook::sum;
use crate::time::booking::{Allowances, Slot, USUAL_CERTAINTY, slot};

/// The certainties that can be chosen, in per cent.
const CERTAINTIES: [u8; 4] = [50, 80, 90, 95];

/// A number of minutes that the user set and that is remembered.
fn minutes(of: Preference) -> RwSignal<String> {
    RwSignal::new(preferences::get(of).unwrap_or_default())
}

/// What was typed, s; nothing that makes no sense.
fn seconds(minutes: RwSignal<String>) -> f64 {
    let typed: f64 = minutes
        .get()
        .trim()
        .replace(',', ".")
        .parse()
        .unwrap_or(0.0);
    if typed.is_finite() {
        typed.clamp(0.0, 1440.0) * 60.0
    } else {
        0.0
    }
}

/// The slot to book, and its calendar file. `tasks` are in words; `what` and
/// `place` are asked for when the file is made.
#[component]
pub fn Booking(
    preview: Preview,
    tasks: Vec<String>,
    what: Signal<String>,
    place: Signal<String>,
) -> impl IntoView {
    let app = app();
    let work = sum(&preview.plan.steps);
    let certainty = RwSignal::new(USUAL_CERTAINTY * 100.0);
    let travel = minutes(Preference::Travel);
    let papers = minutes(Preference::Paperwork);
    let begins = RwSignal::new(String::new());
    let booked = Memo::new(move |_| {
        let allowances = Allowances {
            travel_s: seconds(travel),
            paperwork_s: seconds(papers),
        };
        let Slot { work_s, booked_s } = slot(work, certainty.get() / 100.0, allowances);
        (work_s, booked_s)
    });
    let begins_ms = move || {
        let typed = begins.get();
        let ms = Date::new(&typed.as_str().into()).get_time();
        (!typed.is_empty() && ms.is_finite()).then_some(ms as i64)
    };
    let lists = StoredValue::new((tasks, preview));
    let file = move || {
        let now = app.now.get_untracked();
        let begins_ms = begins_ms()?;
        let text = lists.with_value(|(tasks, preview)| {
            calendar(&Visit {
                uid: format!("{}-{}@lidoff", now.wall_ms, now.run),
                made_ms: now.wall_ms,
                begins_ms,
                seconds: booked.get_untracked().1 as i64,
                summary: what.get_untracked(),
                place: place.get_untracked(),
                description: description(&[
                    ("Tasks", tasks),
                    ("Spares", &preview.spares),
                    ("Tools", &preview.tools),
                    ("Used up", &preview.consumables),
                ]),
            })
        });
        Some(text)
    };
    let save = move |_| {
        if let Some(text) = file()
            && let Err(error) = files::save("lidoff-visit.ics", "text/calendar", &text)
        {
            app.tell(true, error.to_string());
        }
    };
    let share = move |_| {
        let Some(text) = file() else { return };
        let sent = files::share("Visit", "lidoff-visit.ics", "text/calendar", &text);
        spawn_local(async move {
            match sent.await {
                Ok(Shared::Copied) => app.tell(false, "The visit is on the clipboard."),
                Ok(_) => {}
                Err(error) => app.tell(true, error.to_string()),
            }
        });
    };
    let options: Vec<_> = CERTAINTIES
        .into_iter()
        .map(|one| {
            view! { <option value=one selected=f64::from(one) == certainty.get_untracked()>{format!("{one} of 100")}</option> }
        })
        .collect();
    view! {
        <details>
            <summary>"Book a slot"</summary>
            <div class="stack">
                <p class="big-number" id="slot">{move || about(booked.get().1)}</p>
                <p class="soft small">{move || format!("{} of it on site", about(booked.get().0))}</p>
                <label class="field">
                    <span>"Long enough in"</span>
                    <select on:change=move |event| {
                        certainty.set(event_target_value(&event).parse().unwrap_or(USUAL_CERTAINTY * 100.0));
                    }>{options}</select>
                </label>
                <Minutes label="Travel, minutes" value=travel kept=Preference::Travel/>
                <Minutes label="Papers, minutes" value=papers kept=Preference::Paperwork/>
                <label class="field">
                    <span>"Begins"</span>
                    <input type="datetime-local" id="begins" on:input=move |event| begins.set(event_target_value(&event))/>
                </label>
                <p class="soft">{move || begins_ms().map(|at| {
                    let ends = at + (booked.get().1 * 1000.0) as i64;
                    let offset = -Date::new(&(at as f64).into()).get_timezone_offset() as i16;
                    format!("{}, {} to {}", date(at, offset), time_of_day(at, offset), time_of_day(ends, offset))
                })}</p>
                <div class="row">
                    <button type="button" prop:disabled=move || begins_ms().is_none() on:click=save>"Save to the calendar"</button>
                    <button type="button" prop:disabled=move || begins_ms().is_none() on:click=share>"Share"</button>
                </div>
            </div>
        </details>
    }
}

#[component]
fn Minutes(label: &'static str, value: RwSignal<String>, kept: Preference) -> impl IntoView {
    let app = app();
    let change = move |event| {
        let typed = event_target_value(&event);
        if let Err(why) = preferences::set(kept, &typed) {
            app.tell(false, format!("This is not kept for next time: {why}"));
        }
        value.set(typed);
    };
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" inputmode="decimal" autocomplete="off"
                prop:value=move || value.get() on:input=change/>
        </label>
    }
}
