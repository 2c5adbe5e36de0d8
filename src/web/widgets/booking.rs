//! Booking a visit: the slot for the ticked tasks at a chosen certainty, with travel
//! and paperwork, as a calendar file.

use js_sys::Date;
use leptos::prelude::*;

use crate::service::clock;
use crate::service::files;
use crate::service::preferences::{self, Preference};
use crate::share::share_text;
use crate::state::app;
use crate::widgets::dynamic::CollectAny;
use lidoff_app_core::display::{format_date, format_duration};
use lidoff_app_core::planning::Preview;
use lidoff_estimate::Sum;
use lidoff_estimate::booking::{Allowances, Slot, USUAL_CERTAINTY, slot};
use lidoff_i18n::{localize, tr, tr_noop};
use lidoff_job::outlook::sum;
use lidoff_report::exchange::calendar::{CalendarEntry, calendar, description};

/// The certainties that can be chosen.
const CERTAINTIES: [(&str, &str); 4] = [
    ("0.5", tr_noop!("5 in 10 visits")),
    ("0.8", tr_noop!("8 in 10 visits")),
    ("0.9", tr_noop!("9 in 10 visits")),
    ("0.95", tr_noop!("19 in 20 visits")),
];

const FILE: &str = "lidoff-visit.ics";
const MIME: &str = "text/calendar";

/// A number of minutes that the user set and that is remembered.
fn minutes(of: Preference) -> RwSignal<String> {
    RwSignal::new(preferences::get(of).unwrap_or_default())
}

/// The typed minutes in seconds; 0 if they are not a number.
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

/// The ticked tasks and the site.
#[derive(Clone)]
struct VisitPlan {
    work: Sum,
    unit: String,
    lists: [(String, Vec<String>); 6],
    reference: RwSignal<String>,
    site: RwSignal<String>,
}

/// The chosen slot.
#[derive(Clone, Copy)]
struct SlotChoice {
    certainty: RwSignal<String>,
    travel: RwSignal<String>,
    papers: RwSignal<String>,
    begins: RwSignal<String>,
}

impl SlotChoice {
    fn slot(self, work: Sum) -> Slot {
        let certainty = self.certainty.get().parse().unwrap_or(USUAL_CERTAINTY);
        let allowances = Allowances {
            travel_s: seconds(self.travel),
            paperwork_s: seconds(self.papers),
        };
        slot(work, certainty, allowances)
    }

    fn begins_ms(self) -> Option<i64> {
        let typed = self.begins.get();
        let ms = Date::new(&typed.as_str().into()).get_time();
        ms.is_finite().then_some(ms as i64)
    }

    /// The calendar file, once the start of the visit is known.
    fn file(self, visit: &VisitPlan) -> Option<String> {
        let now = app().now.get_untracked();
        let begins_ms = self.begins_ms()?;
        let lists = visit.lists.each_ref();
        Some(calendar(&CalendarEntry {
            uid: format!("{}-{}@lidoff", now.wall_ms, now.run),
            made_ms: now.wall_ms,
            begins_ms,
            seconds: self.slot(visit.work).booked_s as i64,
            summary: format!("{} {}", visit.reference.get(), visit.unit)
                .trim()
                .to_owned(),
            place: visit.site.get(),
            description: description(&lists.map(|(name, lines)| (name.as_str(), lines.as_slice()))),
        }))
    }

    /// "20 min on site", and from when to when.
    fn words(self, work: Sum) -> String {
        let Slot { work_s, booked_s } = self.slot(work);
        let mut words = tr!("{} of this is work.", format_duration(work_s));
        if let Some(at) = self.begins_ms() {
            let ends = at + (booked_s * 1000.0) as i64;
            words.push(' ');
            words += &tr!(
                "{day}, {begins} to {ends}.",
                day = format_date(at, clock::offset_at(at)),
                begins = clock::time_of_day(at),
                ends = clock::time_of_day(ends)
            );
        }
        words
    }
}

/// The slot to book for the ticked tasks (`tasks`, as text), and its calendar file.
#[component]
pub fn Booking(
    preview: Preview,
    tasks: Vec<String>,
    unit: String,
    reference: RwSignal<String>,
    site: RwSignal<String>,
) -> impl IntoView {
    let app = app();
    let work = sum(&preview.plan.steps);
    let visit = VisitPlan {
        work,
        unit,
        lists: [
            (tr!("Tasks"), tasks),
            (tr!("Spares"), preview.spares),
            (tr!("Tools"), preview.tools),
            (tr!("Consumables"), preview.consumables),
            (tr!("Protection, site and test kit"), preview.kit),
            (tr!("People"), preview.people),
        ],
        reference,
        site,
    };
    let chosen = SlotChoice {
        certainty: RwSignal::new(USUAL_CERTAINTY.to_string()),
        travel: minutes(Preference::Travel),
        papers: minutes(Preference::Paperwork),
        begins: RwSignal::new(String::new()),
    };
    let shared = visit.clone();
    let save = move |_| {
        if let Some(text) = chosen.file(&visit)
            && let Err(error) = files::save(FILE, MIME, &text)
        {
            app.notify(true, error.to_string());
        }
    };
    let share = move |_| {
        if let Some(text) = chosen.file(&shared) {
            share_text(app, &tr!("Visit"), FILE, MIME, &text);
        }
    };
    let options = CERTAINTIES
        .into_iter()
        .map(|(value, words)| {
            view! { <option value=value selected=value == CERTAINTIES[1].0>{localize(words)}</option> }
        })
        .collect_any();
    let none = move || chosen.begins_ms().is_none();
    view! {
        <details>
            <summary>{tr!("Book a slot")}</summary>
            <div class="stack">
                <p class="big-number" id="slot">{move || format_duration(chosen.slot(work).booked_s)}</p>
                <p class="soft">{move || chosen.words(work)}</p>
                <label class="field">
                    <span>{tr!("Long enough for")}</span>
                    <select on:change=move |event| chosen.certainty.set(event_target_value(&event))>{options}</select>
                </label>
                <Minutes label=tr!("Travel (min)") value=chosen.travel preference=Preference::Travel/>
                <Minutes label=tr!("Paperwork (min)") value=chosen.papers preference=Preference::Paperwork/>
                <label class="field">
                    <span>{tr!("Starts")}</span>
                    <input type="datetime-local" id="begins"
                        on:input=move |event| chosen.begins.set(event_target_value(&event))/>
                </label>
                <div class="row">
                    <button type="button" prop:disabled=none on:click=save>{tr!("Save the calendar file")}</button>
                    <button type="button" prop:disabled=none on:click=share>{tr!("Share")}</button>
                </div>
            </div>
        </details>
    }
}

#[component]
fn Minutes(label: String, value: RwSignal<String>, preference: Preference) -> impl IntoView {
    let app = app();
    let change = move |event| {
        let typed = event_target_value(&event);
        if let Err(why) = preferences::set(preference, &typed) {
            app.notify(
                false,
                tr!("This could not be saved for next time: {why}", why),
            );
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
