//! A hazard, shown before the action that it belongs to. Its demands are a list to
//! tick, and its waits are counted down.

use leptos::prelude::*;

use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::countdown::Unmeasured;
use crate::widgets::dynamic::{CollectAny, When, rebuilt};
use lidoff_app_core::display::{format_clock, signal_word};
pub use lidoff_app_core::speech::demand_words;
use lidoff_catalog::format::{Demand, Hazard, SignalWord};
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventId, EventKind, HazardWait, PlannedStep};

const fn class(word: SignalWord) -> &'static str {
    match word {
        SignalWord::Notice => "hazard notice",
        SignalWord::Caution => "hazard caution",
        SignalWord::Warning | SignalWord::Danger => "hazard",
    }
}

/// The signal word, with its mark.
#[component]
fn Signal(word: SignalWord) -> impl IntoView {
    let mark = (word != SignalWord::Notice).then_some("⚠ ");
    view! { <span aria-hidden="true">{mark}</span>{signal_word(word)} }
}

/// A hazard of a step that is not acknowledged yet. All its demands must be met before the
/// step can be marked done.
#[component]
pub fn HazardSheet(job: OpenJob, hazard: Hazard, step: PlannedStep) -> impl IntoView {
    let word = hazard.signal;
    let text = localize(&hazard.text).into_owned();
    view! {
        <section class=class(word) aria-label=signal_word(word) tabindex="-1">
            <p class="signal"><Signal word/></p>
            <p>{text}</p>
            <ToMeet job hazard step/>
        </section>
    }
}

/// An acknowledged hazard: collapsed to make room for the step, and readable again.
#[component]
pub fn AcknowledgedHazard(hazard: Hazard) -> impl IntoView {
    let word = hazard.signal;
    let demands = hazard
        .demands
        .iter()
        .map(|demand| view! { <li>{demand_words(demand)}</li> })
        .collect_any();
    view! {
        <details class=format!("{} heeded", class(word))>
            <summary>
                <span class="signal"><Signal word/></span>
                <span class="small">{tr!("✓ understood")}</span>
            </summary>
            <p>{localize(&hazard.text).into_owned()}</p>
            <ul class="marked">{demands}</ul>
        </details>
    }
}

/// A control that still holds, to read again.
#[component]
pub fn StandingHazard(hazard: Hazard) -> impl IntoView {
    let demands = hazard
        .demands
        .iter()
        .map(|demand| view! { <li>{demand_words(demand)}</li> })
        .collect_any();
    view! {
        <p><strong>{signal_word(hazard.signal)}": "</strong>{localize(&hazard.text).into_owned()}</p>
        <ul class="marked">{demands}</ul>
    }
}

/// The demands; meeting the last one acknowledges the hazard with it.
#[component]
fn ToMeet(job: OpenJob, hazard: Hazard, step: PlannedStep) -> impl IntoView {
    let number = step.number;
    let acknowledged = EventKind::Heeded {
        hazard: hazard.id.clone(),
        step: number,
    };
    if hazard.demands.is_empty() {
        return view! { <Understood job acknowledged/> }.into_any();
    }
    let (of, many) = (hazard.id.clone(), hazard.demands.len());
    // For each demand, the event that met it.
    let met = job.slice(move |job| {
        let met = (0u16..).take(many).map(|nth| {
            let mut met = job.met.iter();
            met.find(|one| one.hazard == of && one.step == number && one.demand == nth)
                .map(|one| one.event)
        });
        met.collect::<Vec<Option<EventId>>>()
    });
    let is_last_open = move || met.with(|met| met.iter().filter(|one| one.is_none()).count() == 1);
    // Two taps at once meet the last two demands, and neither was the last open one.
    let are_all_met = Slice::new(move || met.with(|met| met.iter().all(Option::is_some)));
    let left = StoredValue::new(acknowledged.clone());
    let meet = {
        let hazard = hazard.id.clone();
        Callback::new(move |nth: u16| {
            let mut kinds = vec![EventKind::DemandMet {
                hazard: hazard.clone(),
                step: number,
                demand: nth,
            }];
            if untrack(is_last_open) {
                kinds.push(acknowledged.clone());
            }
            job.act(kinds, || {});
        })
    };
    let rows: Vec<_> = (0u16..)
        .zip(&hazard.demands)
        .map(|(nth, demand)| {
            let (demand, hazard, step) = (demand.clone(), hazard.clone(), step.clone());
            let met = Slice::new(move || met.with(|met| met.get(usize::from(nth)).copied().flatten()));
            rebuilt(move || {
                let words = demand_words(&demand);
                if let Some(event) = met.get() {
                    return view! {
                        <li class="row apart met">
                            <span>"✓ "{words}</span>
                            <button type="button" class="quiet back"
                                on:click=move |_| job.record(EventKind::Undone { event })>{tr!("Not done")}</button>
                        </li>
                    }
                    .into_any();
                }
                let meet = move || meet.run(nth);
                match demand {
                    Demand::WaitMinutes(minutes) => {
                        let (hazard, step) = (hazard.clone(), step.clone());
                        view! { <li><WaitRow job hazard step minutes meet/></li> }.into_any()
                    }
                    _ => view! { <li><Tick words meet/></li> }.into_any(),
                }
            })
        })
        .collect();
    view! {
        <ul class="demands">{rows}</ul>
        <When is=are_all_met><Understood job acknowledged=left.get_value()/></When>
    }
    .into_any()
}

#[component]
fn Understood(job: OpenJob, acknowledged: EventKind) -> impl IntoView {
    view! {
        <button type="button"
            on:click=move |_| job.record(acknowledged.clone())>{tr!("Understood")}</button>
    }
}

/// A check box that a gloved thumb can hit.
#[component]
fn Tick(words: String, meet: impl Fn() + Send + 'static) -> impl IntoView {
    view! {
        <button type="button" class="wide tick-off"
            on:click=move |_| meet()>
            <span class="box" aria-hidden="true"></span>
            <span>{words}</span>
        </button>
    }
}

/// The current state of a wait that a hazard demands.
#[component]
fn WaitRow(
    job: OpenJob,
    hazard: Hazard,
    step: PlannedStep,
    minutes: u16,
    meet: impl Fn() + Copy + Send + 'static,
) -> impl IntoView {
    let app = app();
    let words = demand_words(&Demand::WaitMinutes(minutes));
    let of = hazard.id.clone();
    let wait = Slice::new(move || {
        let wait = job.get().hazard_wait(&of, &step, minutes, &app.now.get());
        match wait {
            // The countdown itself is written below.
            HazardWait::Running {
                left_ms,
                unmeasured_ms,
            } => HazardWait::Running {
                left_ms: (left_ms + 999) / 1000 * 1000,
                // To the minute, as it is told.
                unmeasured_ms: unmeasured_ms / 60_000 * 60_000,
            },
            wait => wait,
        }
    });
    rebuilt(move || {
        let words = words.clone();
        match wait.get() {
            HazardWait::BegunByStep => {
                let words = tr!("{wait}: starts when this step is done", wait = words);
                view! { <Tick words meet/> }.into_any()
            }
            HazardWait::Over => {
                let words = tr!("{wait}: over", wait = words);
                view! { <Tick words meet/> }.into_any()
            }
            HazardWait::NotBegun => {
                let begin = EventKind::WaitBegun {
                    hazard: hazard.id.clone(),
                };
                view! {
                    <button type="button" class="wide"
                        on:click=move |_| job.record(begin.clone())>
                        {tr!("It is off: start the {minutes} min wait", minutes = minutes)}
                    </button>
                }
                .into_any()
            }
            HazardWait::Running {
                left_ms,
                unmeasured_ms,
            } => view! {
                <p class="clock">
                    <span>{words}</span>
                    <span class="big-number" id="hazard-wait-left">{format_clock(left_ms)}</span>
                </p>
                <Unmeasured ms=unmeasured_ms/>
            }
            .into_any(),
        }
    })
}
