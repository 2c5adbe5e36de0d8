//! The tray: what lies in which well, what goes in or out of it now, what became
//! of single fasteners, what is parted, what is owed.

use std::sync::Arc;

use leptos::prelude::*;

use crate::screens::of_job::of_job;
use crate::screens::today::name;
use crate::state::app;
use crate::widgets::sheet::Sheet;
use crate::widgets::trouble::Fastener;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr};
use lidoff_job::tally::SetTally;
use lidoff_job::{EventKind, Fate, Job, Status, Tally, tally};

/// The screen.
#[component]
pub fn TrayScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Tray"), |id, job| {
        view! { <Shown id job/> }.into_any()
    })
}

#[component]
fn Shown(id: String, job: Arc<Job>) -> impl IntoView {
    let tally = tally(&job);
    let cables: Vec<_> = tally
        .cables_out
        .iter()
        .map(|cable| view! { <li>{localize(&cable.cable).into_owned()}" → "<strong>{localize(&cable.port).into_owned()}</strong></li> })
        .collect();
    let owed: Vec<_> = tally
        .hand_backs
        .iter()
        .chain(&tally.astray)
        .map(|piece| view! { <li>{localize(&piece.name).into_owned()}</li> })
        .collect();
    let out: i64 = tally.sets.iter().map(SetTally::still_out).sum();
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Tray")}</h1>
            <p class="soft">{name(&job)}</p>
            <section class="sheet" aria-labelledby="tally">
                <h2 id="tally">{tr!("Tally")}</h2>
                <p class="big-number">{tr!("{n} out", n = out)}</p>
                <p class="soft">{tr!("It is zero when every fastener is back in its place.")}</p>
            </section>
            <Wells job=job.clone() tally=tally.clone()/>
            <Fates id=id.clone() job=job.clone() tally/>
            {(!cables.is_empty()).then(|| view! {
                <section class="sheet" aria-labelledby="cables">
                    <h2 id="cables">{tr!("Parted cables, and where they go")}</h2>
                    <ul class="list">{cables}</ul>
                </section>
            })}
            {(!owed.is_empty()).then(|| view! {
                <section class="sheet" aria-labelledby="owed">
                    <h2 id="owed">{tr!("Still to move to the part that goes in")}</h2>
                    <ul class="list">{owed}</ul>
                </section>
            })}
            <a class="button key wide tall" href=Route::Job(id, Page::Step).href()>{tr!("Back to the step")}</a>
        </div>
    }
}

/// How a well stands; each is told by its words and its outline.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Well {
    /// Nothing has come for it yet.
    Waiting,
    /// The step in hand fills it.
    Filling,
    /// Something lies in it.
    Holding,
    /// The step in hand empties it.
    Emptying,
    /// All that lay in it is back in its place.
    Empty,
}

impl Well {
    fn of(job: &Job, sets: &[&SetTally]) -> Self {
        let step = job.next();
        let has = |all: &[lidoff_job::Fasteners]| {
            let mut here = sets.iter().map(|set| &set.fasteners.fastening);
            here.any(|id| all.iter().any(|one| one.fastening == *id))
        };
        if step.is_some_and(|step| has(&step.undo)) {
            Self::Filling
        } else if step.is_some_and(|step| has(&step.redo)) {
            Self::Emptying
        } else if sets.iter().any(|set| set.in_well() > 0) {
            Self::Holding
        } else if sets.iter().any(|set| set.out > 0) {
            Self::Empty
        } else {
            Self::Waiting
        }
    }

    const fn class(self) -> &'static str {
        match self {
            Self::Waiting => "waiting",
            Self::Filling | Self::Emptying => "now",
            Self::Holding => "holding",
            Self::Empty => "empty",
        }
    }

    fn words(self) -> String {
        match self {
            Self::Waiting => tr!("comes later"),
            Self::Filling => tr!("↓ goes in now"),
            Self::Holding => tr!("● lies here"),
            Self::Emptying => tr!("↑ take from here now"),
            Self::Empty => tr!("✓ all back"),
        }
    }
}

/// The tray as it stands on the mat: the wells in the order of their numbers.
#[component]
fn Wells(job: Arc<Job>, tally: Tally) -> impl IntoView {
    let mut wells: Vec<(u16, Vec<&SetTally>)> = Vec::new();
    for set in &tally.sets {
        let of = &set.fasteners;
        let Some(well) = of.well.filter(|_| !of.captive && !of.single_use) else {
            continue;
        };
        match wells.iter_mut().find(|(known, _)| *known == well) {
            Some((_, sets)) => sets.push(set),
            None => wells.push((well, vec![set])),
        }
    }
    lidoff_catalog::insertion_sort(&mut wells, |(one, _), (next, _)| one > next);
    let none = wells.is_empty();
    let cells: Vec<_> = wells
        .into_iter()
        .map(|(well, sets)| {
            let stands = Well::of(&job, &sets);
            let rows: Vec<_> = sets
                .iter()
                .map(|set| {
                    let of = &set.fasteners;
                    let count = match stands {
                        Well::Waiting | Well::Filling if set.in_well() == 0 => i64::from(of.count),
                        _ => set.in_well(),
                    };
                    view! {
                        <p><strong class="num">{count}" × "</strong>{whole(&of.describe_kind())}</p>
                        <p class="soft small">{localize(&of.part_name).into_owned()}</p>
                    }
                })
                .collect();
            view! {
                <li class=format!("cell {}", stands.class())>
                    <p class="row apart">
                        <span class="well" aria-label=tr!("Well {n}", n = well)>{well}</span>
                        <span class="small">{stands.words()}</span>
                    </p>
                    {rows}
                </li>
            }
        })
        .collect();
    view! {
        <section class="sheet" aria-labelledby="wells">
            <h2 id="wells">{tr!("Wells")}</h2>
            {none.then(|| view! { <p>{tr!("This job fills no well.")}</p> })}
            <ul class="tray">{cells}</ul>
        </section>
    }
}

/// A size stays on one line, "M2 × 4", and so do its inches.
fn whole(name: &str) -> String {
    let name = name.replace(" × ", "\u{a0}×\u{a0}");
    name.replace(" in)", "\u{a0}in)")
}

/// What became of single fasteners, and a way to say so.
#[component]
fn Fates(id: String, job: Arc<Job>, tally: Tally) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let closed = matches!(job.status, Status::Closed { .. });
    let rows: Vec<_> = job
        .mishaps
        .iter()
        .map(|one| {
            let set = tally.set(&one.mishap.fastening);
            let name = set.map_or_else(|| one.mishap.fastening.0.clone(), SetTally::name);
            let fate = match one.fate {
                Fate::Lost => tr!("{n} lost", n = one.mishap.count),
                Fate::Stripped => tr!("{n} stripped, thrown away", n = one.mishap.count),
                Fate::New => tr!("{n} new", n = one.mishap.count),
            };
            let (id, event, note) = (id.clone(), one.event, one.mishap.note.clone());
            view! {
                <li class="stack">
                    <p><strong>{fate}</strong>": "{name}</p>
                    {(!note.is_empty()).then(|| view! { <p class="soft">{note}</p> })}
                    {(!closed).then(|| view! {
                        <button type="button" class="quiet" prop:disabled=move || app.busy.get()
                            on:click=move |_| app.act(&id, vec![EventKind::Undone { event }], || {})>{tr!("Not so after all")}</button>
                    })}
                </li>
            }
        })
        .collect();
    let (of, step) = (job.clone(), job.next().cloned());
    view! {
        <section class="sheet" aria-labelledby="fates">
            <h2 id="fates">{tr!("Lost, stripped, new")}</h2>
            {rows.is_empty().then(|| view! { <p class="soft">{tr!("None.")}</p> })}
            <ul class="list">{rows}</ul>
            {(!closed).then(|| view! {
                <button type="button" class="wide" on:click=move |_| open.set(true)>{tr!("Note a fastener")}</button>
            })}
        </section>
        <Sheet open title=tr!("A fastener")>
            <Fastener id=id.clone() job=of.clone() step=step.clone() open/>
        </Sheet>
    }
}
