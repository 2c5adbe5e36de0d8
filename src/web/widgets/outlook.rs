//! The time still to come, on the screens of a job: when it will be done, the
//! turn-back time with its warning, and what the clocks of the device did.

use std::cell::RefCell;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use lidoff_i18n::tr;

use crate::service::{alarm, clock};
use crate::shell::go;
use crate::state::{App, app};
use crate::widgets::sheet::Sheet;
use lidoff_app_core::outlook::{close_up, told};
use lidoff_app_core::planning::profile;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::{next_time, time_of_day};
use lidoff_estimate::Sum;
use lidoff_estimate::turn_back::Nearness;
use lidoff_job::outlook::turn_back;
use lidoff_job::{EventId, EventKind, Irregularity, Job, Status};

thread_local! {
    /// What closing up takes, of the last job that was asked about, as it stood at
    /// that event: a screen that is drawn anew does not plan anew.
    static CLOSING: RefCell<Option<(String, EventId, Sum)>> = const { RefCell::new(None) };
}

/// What closing up from here takes, if it was worked out for this state of the job
/// before.
fn known_closing(id: &str, job: &Job) -> Option<Sum> {
    let (head, _) = job.head?;
    CLOSING.with_borrow(|known| match known {
        Some((of, at, sum)) if of == id && *at == head => Some(*sum),
        _ => None,
    })
}

/// Works out what closing up from here takes: after the screen is there, because a
/// plan may take a moment.
fn work_out(app: App, id: String, job: Arc<Job>, closing: RwSignal<Option<Sum>>) {
    let work = async move {
        let (Some((head, _)), Some(opened)) = (job.head, &job.opened) else {
            return;
        };
        let now = app.now.get_untracked();
        let found = match app.catalog(&opened.unit.id) {
            Some(catalog) => {
                let mut patience = app.patience(|| true);
                close_up(&job, &catalog, &now, &mut patience).await
            }
            None => Err(tr!("the catalog of this unit is not on this device.")),
        };
        match found {
            Ok(sum) => {
                CLOSING.set(Some((id, head, sum)));
                let _gone = closing.try_set(Some(sum));
            }
            Err(why) => app.tell(true, tr!("There is no turn-back time: {why}", why)),
        }
    };
    set_timeout(|| spawn_local(work), std::time::Duration::ZERO);
}

/// When the job will be done, and the turn-back time. On the Step screen it is
/// short; on the plan it is whole.
#[component]
pub fn Outlook(
    id: String,
    job: Arc<Job>,
    whole: bool,
    /// Where the turn-back time is to be drawn, s from the beginning of the job.
    #[prop(optional)]
    turn_at_s: Option<RwSignal<Option<f64>>>,
) -> impl IntoView {
    let app = app();
    let closing = RwSignal::new(known_closing(&id, &job));
    let asked = job.leave_by_ms.is_some() && job.open_tasks().next().is_some();
    let wanted = RwSignal::new(asked && closing.get_untracked().is_none());
    let seen = job.clone();
    // Worked out anew each second, and drawn anew only where the words differ.
    let told = StoredValue::new(move || told(&seen, closing.get(), &app.now.get()));
    let told = move || told.with_value(|told| told());
    let near = move || told().nearness;
    let (of, drawn) = (id.clone(), job.clone());
    Effect::new(move |_| {
        if let near @ (Nearness::Soon | Nearness::Passed) = near() {
            alarm::once(format!("{of} {}", near as u8));
        }
        // The catalogs may come after the job; the clock brings this back here.
        if wanted.get_untracked() && app.shelf.with_untracked(Option::is_some) {
            wanted.set(false);
            work_out(app, of.clone(), drawn.clone(), closing);
        }
        // The picture is drawn once for each state of the job.
        let Some((place, close_up)) = turn_at_s.zip(closing.get()) else {
            return;
        };
        if place.get_untracked().is_none() {
            let now = app.now.get_untracked();
            let from_now_s = |at_ms: i64| (at_ms - now.wall_ms) as f64 / 1000.0;
            let at_s = turn_back(&drawn, close_up)
                .map(|it| profile(&drawn).done_s() + from_now_s(it.at_ms));
            if at_s.is_some() {
                place.set(at_s);
            }
        }
    });
    let turning = RwSignal::new(false);
    let can_turn = job.open_tasks().next().is_some();
    let paused = matches!(job.status, Status::Paused(_));
    let urgent = move || near() != Nearness::Ample;
    view! {
        <ClockTold id=id.clone() job=job.clone()/>
        <section class="time" class:sheet=move || whole || urgent() class:lead=move || near() == Nearness::Soon
            class:late=move || near() == Nearness::Passed aria-label=tr!("Time")>
            <p>
                <span class="soft">{if paused { tr!("If you go on now, done by ") } else { tr!("Done by ") }}</span>
                <strong class="num" id="done-by">{move || told().done_by}</strong>
            </p>
            <p aria-live="polite" id="turn-back">{move || told().turn_back}</p>
            {whole.then(|| view! {
                <p class="soft small">{move || told().sure}</p>
                <LeaveBy id=id.clone() leave_by_ms=job.leave_by_ms/>
            })}
            {can_turn.then(|| view! {
                <Show when=move || whole || urgent()>
                    <button type="button" on:click=move |_| turning.set(true)>{tr!("Turn back now")}</button>
                </Show>
            })}
        </section>
        <Sheet open=turning title=tr!("Turn back now?")>
            <TurnBackNow id=id.clone() job=job.clone() open=turning/>
        </Sheet>
    }
}

#[component]
fn TurnBackNow(id: String, job: Arc<Job>, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    let left: Vec<String> = job.open_tasks().map(|task| task.describe()).collect();
    let turn = move |_| {
        let next = id.clone();
        app.act(&id, vec![EventKind::TurnedBack], move || {
            open.set(false);
            go(&Route::Job(next, Page::Step));
        });
    };
    view! {
        <p>{tr!("Closing the unit, proving it and handing it over becomes the plan. A swap in hand is finished first.")}</p>
        <p>{tr!("Left for the next visit: {}.", left.join("; "))}</p>
        <button type="button" class="key wide tall" prop:disabled=move || app.busy.get() on:click=turn>
            {tr!("Close it up")}
        </button>
    }
}

/// When the technician must leave; it can be changed while the job runs.
#[component]
fn LeaveBy(id: String, leave_by_ms: Option<i64>) -> impl IntoView {
    let app = app();
    let now = app.now.get_untracked();
    let shown = leave_by_ms.map(|at| time_of_day(at, now.offset_min));
    let change = move |event| {
        let now = clock::now();
        let at_ms = next_time(&event_target_value(&event), now.wall_ms, now.offset_min);
        app.act(&id, vec![EventKind::LeaveBy { at_ms }], || {});
    };
    view! {
        <label class="field">
            <span>{tr!("Leave by")}</span>
            <input type="time" id="leave-by" prop:value=shown.unwrap_or_default() on:change=change/>
        </label>
    }
}

/// What the clocks did since the last event, told while it can still be mended.
#[component]
fn ClockTold(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let seen = job.clone();
    let words = Memo::new(move |_| {
        let troubles = seen.clock_irregularities(&app.now.get());
        let words: Vec<String> = troubles.iter().map(ToString::to_string).collect();
        words.join(" ")
    });
    move || {
        let words = words.get();
        let slept = job
            .clock_irregularities(&app.now.get_untracked())
            .into_iter()
            .find_map(|one| match one {
                Irregularity::Slept { ms } => Some(ms),
                _ => None,
            });
        let id = id.clone();
        (!words.is_empty()).then(|| view! {
            <div class="hazard notice" id="clock-told">
                <p role="alert">{words}{tr!(" Times of day here are read from that clock: see that it is right.")}</p>
                {slept.map(|ms| view! {
                    <button type="button" on:click=move |_| {
                        let to_ms = app.now.get_untracked().wall_ms;
                        let gap = EventKind::Gap { from_ms: to_ms - ms, to_ms, work_ms: 0 };
                        app.act(&id, vec![gap], || {});
                    }>{tr!("That sleep was no work")}</button>
                })}
            </div>
        })
    }
}
