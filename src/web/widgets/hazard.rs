//! A hazard, before the action that it belongs to: what it demands is a list to
//! be ticked off, waits counted down.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::state::app;
pub use lidoff_app_core::speech::demand_words;
use lidoff_app_core::words::{clock, signal};
use lidoff_catalog::format::{Demand, Hazard, SignalWord};
use lidoff_i18n::localize;
use lidoff_job::{EventKind, HazardWait, Job, PlannedStep};

/// A hazard of a step. While it is `open` it must be acknowledged, its demands
/// met one by one, before the step can be done.
#[component]
pub fn HazardSheet(
    id: String,
    job: Arc<Job>,
    hazard: Hazard,
    step: PlannedStep,
    open: bool,
) -> impl IntoView {
    let word = signal(hazard.signal);
    let class = match hazard.signal {
        SignalWord::Notice => "hazard notice",
        SignalWord::Caution => "hazard caution",
        SignalWord::Warning | SignalWord::Danger => "hazard",
    };
    let mark = (hazard.signal != SignalWord::Notice).then_some("⚠ ");
    let text = localize(&hazard.text).into_owned();
    if open {
        view! {
            <section class=class aria-label=word tabindex="-1">
                <p class="signal"><span aria-hidden="true">{mark}</span>{word}</p>
                <p>{text}</p>
                <ToMeet id job hazard step/>
            </section>
        }
        .into_any()
    } else {
        let demands: Vec<_> = hazard
            .demands
            .iter()
            .map(|demand| view! { <li>{demand_words(demand)}</li> })
            .collect();
        // Heeded, it makes room for the step, and can be read again.
        view! {
            <details class=format!("{class} heeded")>
                <summary>
                    <span class="signal"><span aria-hidden="true">{mark}</span>{word}</span>
                    <span class="small">{tr!("✓ understood")}</span>
                </summary>
                <p>{text}</p>
                <ul class="marked">{demands}</ul>
            </details>
        }
        .into_any()
    }
}

/// What is still to be met; the last tick acknowledges the hazard with it.
#[component]
fn ToMeet(id: String, job: Arc<Job>, hazard: Hazard, step: PlannedStep) -> impl IntoView {
    let app = app();
    let number = step.number;
    let heeded = EventKind::Heeded {
        hazard: hazard.id.clone(),
        step: number,
    };
    let met = |nth: u16| {
        let mut met = job.met.iter();
        met.find(|one| one.hazard == hazard.id && one.step == number && one.demand == nth)
            .map(|one| one.event)
    };
    let many = hazard.demands.len();
    let open = (0u16..)
        .take(many)
        .filter(|nth| met(*nth).is_none())
        .count();
    let rows: Vec<_> = (0u16..)
        .zip(&hazard.demands)
        .map(|(nth, demand)| {
            let words = demand_words(demand);
            let id = id.clone();
            if let Some(event) = met(nth) {
                return view! {
                    <li class="row apart met">
                        <span>"✓ "{words}</span>
                        <button type="button" class="quiet back" prop:disabled=move || app.busy.get()
                            on:click=move |_| app.act(&id, vec![EventKind::Undone { event }], || {})>{tr!("Not done")}</button>
                    </li>
                }
                .into_any();
            }
            let mut kinds = vec![EventKind::DemandMet {
                hazard: hazard.id.clone(),
                step: number,
                demand: nth,
            }];
            if open == 1 {
                kinds.push(heeded.clone());
            }
            match demand {
                Demand::WaitMinutes(minutes) => view! {
                    <li><WaitRow id job=job.clone() hazard=hazard.clone() step=step.clone() minutes=*minutes kinds/></li>
                }
                .into_any(),
                _ => view! { <li><Tick id words kinds/></li> }.into_any(),
            }
        })
        .collect();
    if many == 0 {
        return view! {
            <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| {
                app.act(&id, vec![heeded.clone()], || {});
            }>{tr!("Understood")}</button>
        }
        .into_any();
    }
    view! { <ul class="demands">{rows}</ul> }.into_any()
}

/// A box to tick with a thumb in a glove.
#[component]
fn Tick(id: String, words: String, kinds: Vec<EventKind>) -> impl IntoView {
    let app = app();
    view! {
        <button type="button" class="wide tick-off" prop:disabled=move || app.busy.get()
            on:click=move |_| app.act(&id, kinds.clone(), || {})>
            <span class="box" aria-hidden="true"></span>
            <span>{words}</span>
        </button>
    }
}

/// A wait that a hazard demands, as it stands this second.
#[component]
fn WaitRow(
    id: String,
    job: Arc<Job>,
    hazard: Hazard,
    step: PlannedStep,
    minutes: u16,
    kinds: Vec<EventKind>,
) -> impl IntoView {
    let app = app();
    let words = demand_words(&Demand::WaitMinutes(minutes));
    let of = hazard.id.clone();
    let stands = Memo::new(move |_| {
        match job.hazard_wait(&of, &step, minutes, &app.now.get()) {
            // The countdown itself is written below.
            HazardWait::Running { left_ms } => HazardWait::Running {
                left_ms: (left_ms + 999) / 1000 * 1000,
            },
            stands => stands,
        }
    });
    move || {
        let (id, kinds, words) = (id.clone(), kinds.clone(), words.clone());
        match stands.get() {
            HazardWait::BegunByStep => {
                let words = tr!("{wait}: starts when this step is done", wait = words);
                view! { <Tick id words kinds/> }.into_any()
            }
            HazardWait::Over => {
                let words = tr!("{wait}: over", wait = words);
                view! { <Tick id words kinds/> }.into_any()
            }
            HazardWait::NotBegun => {
                let begin = vec![EventKind::WaitBegun {
                    hazard: hazard.id.clone(),
                }];
                view! {
                    <button type="button" class="wide" prop:disabled=move || app.busy.get()
                        on:click=move |_| app.act(&id, begin.clone(), || {})>
                        {tr!("It is off: start the {minutes} min wait", minutes = minutes)}
                    </button>
                }
                .into_any()
            }
            HazardWait::Running { left_ms } => view! {
                <p class="clock">
                    <span>{words}</span>
                    <span class="big-number" id="hazard-wait-left">{clock(left_ms)}</span>
                </p>
            }
            .into_any(),
        }
    }
}
