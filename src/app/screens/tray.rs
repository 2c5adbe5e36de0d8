//! The tray: what lies in which well, what is parted, what is owed.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::route::{Page, Route};
use crate::app::screens::of_job::of_job;
use crate::app::screens::today::name;
use crate::job::tally::SetTally;
use crate::job::{Job, tally};

/// The screen.
#[component]
pub fn TrayScreen(job: String) -> impl IntoView {
    of_job(job, "Tray", |id, job| view! { <Shown id job/> }.into_any())
}

#[component]
fn Shown(id: String, job: Arc<Job>) -> impl IntoView {
    let tally = tally(&job);
    let wells: Vec<_> = tally
        .wells()
        .into_iter()
        .map(|(well, set)| {
            view! {
                <li class="row apart">
                    <span class="row">
                        <span class="well" aria-label=format!("Well {well}")>{well}</span>
                        <span>
                            <strong>{format!("{} × {}", set.in_well(), set.fasteners.name)}</strong>
                            <br/>
                            <span class="soft">{set.fasteners.part_name.clone()}</span>
                        </span>
                    </span>
                    {odd(set).map(|odd| view! { <span>{odd}</span> })}
                </li>
            }
        })
        .collect();
    let cables: Vec<_> = tally
        .cables_out
        .iter()
        .map(|cable| view! { <li>{cable.cable.clone()}" → "<strong>{cable.port.clone()}</strong></li> })
        .collect();
    let owed: Vec<_> = tally
        .hand_backs
        .iter()
        .map(|piece| view! { <li>{piece.name.clone()}</li> })
        .collect();
    let out: i64 = tally.sets.iter().map(SetTally::still_out).sum();
    let empty = wells.is_empty();
    view! {
        <div class="screen">
            <h1 tabindex="-1">"Tray"</h1>
            <p class="soft">{name(&job)}</p>
            <section class="sheet" aria-labelledby="tally">
                <h2 id="tally">"Tally"</h2>
                <p class="big-number">{format!("{out} out")}</p>
                <p class="soft">"It is zero when every fastener is back in its place."</p>
            </section>
            <section class="sheet" aria-labelledby="wells">
                <h2 id="wells">"Wells"</h2>
                {empty.then(|| view! { <p>"Every well is empty."</p> })}
                <ul class="list">{wells}</ul>
            </section>
            {(!cables.is_empty()).then(|| view! {
                <section class="sheet" aria-labelledby="cables">
                    <h2 id="cables">"Parted cables, and where they go"</h2>
                    <ul class="list">{cables}</ul>
                </section>
            })}
            {(!owed.is_empty()).then(|| view! {
                <section class="sheet" aria-labelledby="owed">
                    <h2 id="owed">"Still to move to the new part"</h2>
                    <ul class="list">{owed}</ul>
                </section>
            })}
            <a class="button key wide tall" href=Route::Job(id, Page::Step).href()>"Back to the step"</a>
        </div>
    }
}

fn odd(set: &SetTally) -> Option<String> {
    let counts = [
        (set.lost, "lost"),
        (set.stripped, "discarded"),
        (set.spares, "new"),
    ];
    let said: Vec<String> = counts
        .iter()
        .filter(|(many, _)| *many > 0)
        .map(|(many, what)| format!("{many} {what}"))
        .collect();
    (!said.is_empty()).then(|| said.join(", "))
}
