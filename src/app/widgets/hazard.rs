//! A hazard, before the action that it belongs to.

use crate::tongue::tr;
use leptos::prelude::*;

use crate::app::state::app;
use crate::app::tongue::said;
use crate::app::words::signal;
use crate::catalog::format::{Demand, Hazard, SignalWord};
use crate::job::What;

/// A hazard of a step. While it is `open` it must be acknowledged, its demands
/// met, before the step can be done.
#[component]
pub fn HazardSheet(id: String, hazard: Hazard, step: u32, open: bool) -> impl IntoView {
    let app = app();
    let word = signal(hazard.signal);
    let demands: Vec<_> = hazard
        .demands
        .iter()
        .map(|demand| view! { <li>{demand_words(demand)}</li> })
        .collect();
    let heeded = hazard.id.clone();
    let class = match hazard.signal {
        SignalWord::Notice => "hazard notice",
        SignalWord::Caution => "hazard caution",
        SignalWord::Warning | SignalWord::Danger => "hazard",
    };
    let inside = view! {
        <p>{said(&hazard.text).into_owned()}</p>
        {(!demands.is_empty()).then(|| view! { <ul class="marked">{demands}</ul> })}
    };
    let mark = (hazard.signal != SignalWord::Notice).then_some("⚠ ");
    let button = if hazard.demands.is_empty() {
        tr!("Understood")
    } else {
        tr!("Understood, and done")
    };
    if open {
        view! {
            <section class=class aria-label=word>
                <p class="signal"><span aria-hidden="true">{mark}</span>{word}</p>
                {inside}
                <button type="button" prop:disabled=move || app.busy.get() on:click=move |_| {
                    app.act(&id, vec![What::Heeded { hazard: heeded.clone(), step }], || {});
                }>{button}</button>
            </section>
        }
        .into_any()
    } else {
        // Heeded, it makes room for the step, and can be read again.
        view! {
            <details class=format!("{class} heeded")>
                <summary>
                    <span class="signal"><span aria-hidden="true">{mark}</span>{word}</span>
                    <span class="small">{tr!("✓ understood")}</span>
                </summary>
                {inside}
            </details>
        }
        .into_any()
    }
}

/// What a hazard demands, in words.
pub fn demand_words(demand: &Demand) -> String {
    match demand {
        Demand::Isolate(how) => tr!("Isolate: {how}", how = said(how)),
        Demand::WaitMinutes(minutes) => tr!("Wait {minutes} min", minutes = minutes),
        Demand::People(people) => tr!("One person" | "{n} people" % *people),
        Demand::Wear(what) => tr!("Wear: {what}", what = said(what)),
        Demand::Do(what) => said(what).into_owned(),
    }
}
