//! The tray: the contents of each well, what goes in or comes out now, lost and
//! stripped fasteners, unplugged cables, and hand-backs still to move.

use leptos::prelude::*;

use crate::screens::of_job::of_job;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{CollectAny, When, rows, text};
use crate::widgets::problem::FastenerForm;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::display::job_title;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr};
use lidoff_job::tally::SetTally;
use lidoff_job::{EventId, EventKind, Fate, Job, Status, Tally, tally};

/// The screen.
#[component]
pub fn TrayScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Tray"), |job| view! { <Tray job/> }.into_any())
}

#[component]
fn Tray(job: OpenJob) -> impl IntoView {
    let title = job.slice(job_title);
    let tally = job.slice(tally);
    let out = Slice::new(move || {
        let out: i64 = tally.with(|tally| tally.sets.iter().map(SetTally::still_out).sum());
        out
    });
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Tray")}</h1>
            <p class="soft">{text(move || title.get())}</p>
            <section class="sheet" aria-labelledby="tally">
                <h2 id="tally">{tr!("Tally")}</h2>
                <p class="big-number">{text(move || tr!("{n} out", n = out.get()))}</p>
                <p class="soft">{tr!("Zero when every fastener is back in place.")}</p>
            </section>
            <Wells job/>
            <Fates job/>
            <Cables tally/>
            <Owed tally/>
            <a class="button key wide tall" href=Route::Job(job.id(), Page::Step).href()>{tr!("Back to the step")}</a>
        </div>
    }
}

/// The cables that are unplugged; nothing where there are none.
#[component]
fn Cables(tally: Slice<Tally>) -> impl IntoView {
    let cables = Slice::new(move || {
        tally.with(|tally| {
            let out = tally.cables_out.iter();
            let ends = out.map(|cable| (cable.cable.clone(), cable.port.clone()));
            ends.collect::<Vec<_>>()
        })
    });
    view! {
        <When is=Signal::derive(move || cables.with(|cables| !cables.is_empty()))>
            <section class="sheet" aria-labelledby="cables">
                <h2 id="cables">{tr!("Unplugged cables and their ports")}</h2>
                <ul class="list">
                    {rows(move || cables.get(), Clone::clone, |(cable, port)| view! {
                        <li>{localize(&cable).into_owned()}" → "<strong>{localize(&port).into_owned()}</strong></li>
                    })}
                </ul>
            </section>
        </When>
    }
}

/// Hand-backs still to move to the part being fitted; nothing if there are none.
#[component]
fn Owed(tally: Slice<Tally>) -> impl IntoView {
    let owed = Slice::new(move || {
        tally.with(|tally| {
            let pieces = tally.hand_backs.iter().chain(&tally.astray);
            pieces.map(|piece| piece.name.clone()).collect::<Vec<_>>()
        })
    });
    view! {
        <When is=Signal::derive(move || owed.with(|owed| !owed.is_empty()))>
            <section class="sheet" aria-labelledby="owed">
                <h2 id="owed">{tr!("Still to move to the part being fitted")}</h2>
                <ul class="list">
                    {rows(move || owed.get(), Clone::clone, |name| view! {
                        <li>{localize(&name).into_owned()}</li>
                    })}
                </ul>
            </section>
        </When>
    }
}

/// The state of a well, shown by its text and outline.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum WellState {
    /// Nothing is in it yet.
    Waiting,
    /// The current step fills it.
    Filling,
    /// It holds something.
    Holding,
    /// The current step empties it.
    Emptying,
    /// All its fasteners are back in place.
    Empty,
}

impl WellState {
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
            Self::Waiting => tr!("later"),
            Self::Filling => tr!("↓ fill now"),
            Self::Holding => tr!("● in the well"),
            Self::Emptying => tr!("↑ take out now"),
            Self::Empty => tr!("✓ all back"),
        }
    }
}

/// A well of the tray and its contents.
#[derive(Clone, PartialEq, Eq, Hash)]
struct Cell {
    well: u16,
    state: WellState,
    /// How many, of which fastener, of which part; what sets the fastener apart.
    contents: Vec<(i64, String, String, Option<String>)>,
}

/// The wells in the order of their numbers.
fn cells(job: &Job) -> Vec<Cell> {
    let tally = tally(job);
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
    let cell = |(well, sets): (u16, Vec<&SetTally>)| {
        let state = WellState::of(job, &sets);
        let contents = sets.iter().map(|set| {
            let of = &set.fasteners;
            let count = match state {
                WellState::Waiting | WellState::Filling if set.in_well() == 0 => {
                    i64::from(of.count)
                }
                _ => set.in_well(),
            };
            (
                count,
                of.describe_kind().into_owned(),
                of.part_name.clone(),
                of.describe_details(),
            )
        });
        Cell {
            well,
            state,
            contents: contents.collect(),
        }
    };
    wells.into_iter().map(cell).collect()
}

/// The tray, laid out as on the mat.
#[component]
fn Wells(job: OpenJob) -> impl IntoView {
    let cells = job.slice(cells);
    let cell = |cell: Cell| {
        let contents = cell
            .contents
            .into_iter()
            .map(|(count, kind, part, details)| {
                view! {
                    <p><strong class="num">{count}" × "</strong>{unbroken_size(&kind)}</p>
                    {details.map(|details| view! { <p class="small">{details}</p> })}
                    <p class="soft small">{localize(&part).into_owned()}</p>
                }
            });
        view! {
            <li class=format!("cell {}", cell.state.class())>
                <p class="row apart">
                    <span class="well" aria-label=tr!("Well {n}", n = cell.well)>{cell.well}</span>
                    <span class="small">{cell.state.words()}</span>
                </p>
                {contents.collect_any()}
            </li>
        }
    };
    view! {
        <section class="sheet" aria-labelledby="wells">
            <h2 id="wells">{tr!("Wells")}</h2>
            <When is=Signal::derive(move || cells.with(Vec::is_empty))><p>{tr!("This job needs no tray wells.")}</p></When>
            <ul class="tray">{rows(move || cells.get(), Clone::clone, cell)}</ul>
        </section>
    }
}

/// Keeps a size on one line, "M2 × 4", and likewise its inches.
fn unbroken_size(name: &str) -> String {
    let name = name.replace(" × ", "\u{a0}×\u{a0}");
    name.replace(" in)", "\u{a0}in)")
}

/// A row of the list of lost, stripped and replaced fasteners.
#[derive(Clone, PartialEq, Eq, Hash)]
struct FateLine {
    event: EventId,
    fate: String,
    fastener: String,
    note: String,
}

fn fates(job: &Job) -> Vec<FateLine> {
    let tally = tally(job);
    let lines = job.mishaps.iter().map(|one| {
        let set = tally.set(&one.mishap.fastening);
        let count = one.mishap.count;
        FateLine {
            event: one.event,
            fate: match one.fate {
                Fate::Lost => tr!("{n} lost", n = count),
                Fate::Stripped => tr!("{n} stripped and discarded", n = count),
                Fate::New => tr!("{n} new", n = count),
            },
            fastener: set.map_or_else(|| one.mishap.fastening.0.clone(), SetTally::name),
            note: one.mishap.note.clone(),
        }
    });
    lines.collect()
}

/// Lost, stripped and new fasteners, with a button to report one.
#[component]
fn Fates(job: OpenJob) -> impl IntoView {
    let app = app();
    let open = RwSignal::new(false);
    let lines = job.slice(fates);
    let is_open = job.slice(|job| !matches!(job.status, Status::Closed { .. }));
    let row = move |line: FateLine| {
        let FateLine {
            event,
            fate,
            fastener,
            note,
        } = line;
        view! {
            <li class="stack">
                <p><strong>{fate}</strong>": "{fastener}</p>
                {(!note.is_empty()).then(|| view! { <p class="soft">{note}</p> })}
                <When is=is_open>
                    <button type="button" class="quiet" prop:disabled=move || app.busy.get()
                        on:click=move |_| job.record(EventKind::Undone { event })>{tr!("Undo this entry")}</button>
                </When>
            </li>
        }
    };
    view! {
        <section class="sheet" aria-labelledby="fates">
            <h2 id="fates">{tr!("Lost, stripped, new")}</h2>
            <When is=Signal::derive(move || lines.with(Vec::is_empty))><p class="soft">{tr!("None.")}</p></When>
            <ul class="list">{rows(move || lines.get(), Clone::clone, row)}</ul>
            <When is=is_open>
                <button type="button" class="wide" on:click=move |_| open.set(true)>{tr!("Report a fastener")}</button>
            </When>
        </section>
        <Sheet open title=tr!("Report a fastener")>
            <FastenerForm job step=job.get_untracked().next().cloned() open/>
        </Sheet>
    }
}
