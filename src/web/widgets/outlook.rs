//! The outlook on the screens of a job: when it will be done, the turn-back time with
//! its warning, and irregularities of the device's clocks.

use std::cell::RefCell;

use leptos::prelude::*;
use leptos::task::spawn_local;

use lidoff_i18n::tr;

use crate::generation::Generation;
use crate::navigate::go_to;
use crate::service::{alarm, clock};
use crate::slice::{OpenJob, Slice};
use crate::state::{App, app};
use crate::widgets::dynamic::{When, rebuilt, text};
use crate::widgets::sheet::Sheet;
use lidoff_app_core::display::next_time_of_day;
use lidoff_app_core::outlook::{OutlookText, close_up, describe_outlook};
use lidoff_app_core::planning::profile;
use lidoff_app_core::route::{Page, Route};
use lidoff_estimate::Sum;
use lidoff_estimate::turn_back::Nearness;
use lidoff_job::outlook::turn_back;
use lidoff_job::{EventId, EventKind, Irregularity, Job, Status};

thread_local! {
    /// The time to close up, for the last job that was asked about, at that event:
    /// redrawing a screen does not plan again.
    static CLOSING: RefCell<Option<(String, EventId, Sum)>> = const { RefCell::new(None) };
}

/// The time to close up from here, if it is already known for this state of the job.
fn known_closing(id: &str, job: &Job) -> Option<Sum> {
    let (head, _) = job.head?;
    CLOSING.with_borrow(|known| match known {
        Some((of, at, sum)) if of == id && *at == head => Some(*sum),
        _ => None,
    })
}

/// The time to close up from here, kept up to date; `None` until it is known, or if nothing
/// needs it. It is computed after the screen is shown, because planning may take a moment.
pub fn close_up_time(job: OpenJob) -> Slice<Option<Sum>> {
    let app = app();
    let closing = RwSignal::new(None);
    let latest = Generation::new();
    Effect::new(move |_| {
        let now = job.get();
        let known = known_closing(&job.id(), &now);
        closing.set(known);
        let is_wanted = latest.begin();
        let is_asked = now.leave_by_ms.is_some() && now.open_tasks().next().is_some();
        // The catalogs may come after the job.
        if !is_asked || known.is_some() || app.library.with(Option::is_none) {
            return;
        }
        let id = job.id();
        let work = async move {
            let Some(sum) = work_out_closing(app, id, &now).await else {
                return;
            };
            if is_wanted() {
                let _gone = closing.try_set(Some(sum));
            }
        };
        set_timeout(|| spawn_local(work), std::time::Duration::ZERO);
    });
    Slice::new(move || closing.get())
}

async fn work_out_closing(app: App, id: String, job: &Job) -> Option<Sum> {
    let (head, _) = job.head?;
    let unit = &job.opened.as_ref()?.unit.id;
    let now = app.now.get_untracked();
    let found = match app.catalog(unit) {
        Some(catalog) => {
            let mut progress_handler = app.progress_handler(|| true);
            close_up(job, &catalog, &now, &mut progress_handler).await
        }
        None => Err(tr!("the catalog for this unit is not on this device.")),
    };
    match found {
        Ok(sum) => {
            CLOSING.set(Some((id, head, sum)));
            Some(sum)
        }
        Err(why) => {
            app.notify(true, tr!("There is no turn-back time: {why}", why));
            None
        }
    }
}

/// Position of the turn-back time in the profile, s from the start of the job.
pub fn turn_back_mark(job: OpenJob, closing: Slice<Option<Sum>>) -> Slice<Option<f64>> {
    let app = app();
    // The picture is drawn once for each state of the job, and not each second.
    Slice::new(move || {
        let (job, closing) = (job.get(), closing.get()?);
        let now_ms = app.now.get_untracked().wall_ms;
        let turn = turn_back(&job, closing)?;
        Some(profile(&job).done_s() + (turn.at_ms - now_ms) as f64 / 1000.0)
    })
}

/// The outlook as text. Computed each second, but redrawn only if the text changes.
pub fn outlook_text(job: OpenJob, closing: Slice<Option<Sum>>) -> Slice<OutlookText> {
    let app = app();
    Slice::new(move || {
        describe_outlook(
            &job.get(),
            closing.get(),
            &app.now.get(),
            clock::time_of_day,
        )
    })
}

/// Whether the turn-back time is near or has passed.
pub fn is_urgent(outlook: Slice<OutlookText>) -> bool {
    outlook.with(|outlook| outlook.nearness != Nearness::Ample)
}

/// When the job will be done, and the turn-back time, in full.
#[component]
pub fn Outlook(job: OpenJob, closing: Slice<Option<Sum>>, whole: bool) -> impl IntoView {
    let outlook = outlook_text(job, closing);
    view! { <ClockIrregularities job/><OutlookLines job outlook whole/> }
}

/// When the job will be done, and the turn-back time: short on the Step screen.
#[component]
pub fn OutlookLines(job: OpenJob, outlook: Slice<OutlookText>, whole: bool) -> impl IntoView {
    let nearness = Slice::new(move || outlook.with(|outlook| outlook.nearness));
    Effect::new(move |_| {
        if let near @ (Nearness::Soon | Nearness::Passed) = nearness.get() {
            alarm::once(format!("{} {}", job.id(), near as u8));
        }
    });
    let turning = RwSignal::new(false);
    let can_turn = job.slice(|job| job.open_tasks().next().is_some());
    let paused = job.slice(|job| matches!(job.status, Status::Paused(_)));
    let urgent = move || is_urgent(outlook);
    let done_label = move || {
        if paused.get() {
            tr!("If you resume now, done about ")
        } else {
            tr!("Done about ")
        }
    };
    view! {
        <section class="time" class:sheet=move || whole || urgent() class:lead=move || nearness.get() == Nearness::Soon
            class:late=move || nearness.get() == Nearness::Passed aria-label=tr!("Time")>
            <p>
                <span class="soft">{text(done_label)}</span>
                <strong class="num" id="done-by">{text(move || outlook.with(|outlook| outlook.done_by.clone()))}</strong>
            </p>
            <p aria-live="polite" id="turn-back">{text(move || outlook.with(|outlook| outlook.turn_back.clone()))}</p>
            <div class="leave">
                {whole.then(|| view! { <LeaveBy job/> })}
                <When is=Signal::derive(move || can_turn.get() && (whole || urgent()))>
                    <button type="button" on:click=move |_| turning.set(true)>{tr!("Turn back now")}</button>
                </When>
            </div>
        </section>
        <Sheet open=turning title=tr!("Turn back now?")>
            <TurnBackNow job open=turning/>
        </Sheet>
    }
}

#[component]
fn TurnBackNow(job: OpenJob, open: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let left: Vec<String> = now.open_tasks().map(|task| task.describe()).collect();
    let turn = move |_| {
        let next = job.id();
        job.act(vec![EventKind::TurnedBack], move || {
            let _gone = open.try_set(false);
            go_to(&Route::Job(next, Page::Step));
        });
    };
    view! {
        <p>{tr!("The plan becomes: close the unit, prove it, hand it over. A swap already started is finished first.")}</p>
        <p>{tr!("Left for the next visit: {}.", left.join("; "))}</p>
        <button type="button" class="key wide tall" on:click=turn>
            {tr!("Close up now")}
        </button>
    }
}

/// When the technician must leave; it can be changed while the job runs.
#[component]
fn LeaveBy(job: OpenJob) -> impl IntoView {
    let leave_by_ms = job.slice(|job| job.leave_by_ms);
    let shown = move || {
        let shown = leave_by_ms.get();
        let shown = shown.map(clock::time_of_day);
        shown.unwrap_or_default()
    };
    let change = move |event| {
        let now = clock::now();
        let at_ms = next_time_of_day(&event_target_value(&event), now.wall_ms, &clock::offset_at);
        job.record(EventKind::LeaveBy { at_ms });
    };
    view! {
        <label class="field">
            <span>{tr!("Leave by")}</span>
            <input type="time" id="leave-by" prop:value=shown on:change=change/>
        </label>
    }
}

/// Clock irregularities since the last event, shown while they can still be corrected.
#[component]
pub fn ClockIrregularities(job: OpenJob) -> impl IntoView {
    let app = app();
    let words = Slice::new(move || {
        let troubles = job.get().clock_irregularities(&app.now.get());
        let words: Vec<String> = troubles.iter().map(ToString::to_string).collect();
        words.join(" ")
    });
    rebuilt(move || {
        let words = words.get();
        let slept = job
            .get_untracked()
            .clock_irregularities(&app.now.get_untracked())
            .into_iter()
            .find_map(|one| match one {
                Irregularity::Slept { ms } => Some(ms),
                _ => None,
            });
        (!words.is_empty()).then(|| view! {
            <div class="hazard notice" id="clock-told">
                <p role="alert">{words}{tr!(" Check the device clock: the times shown here come from it.")}</p>
                {slept.map(|ms| view! {
                    <button type="button" on:click=move |_| {
                        let to_ms = app.now.get_untracked().wall_ms;
                        let gap = EventKind::Gap { from_ms: to_ms - ms, to_ms, work_ms: 0 };
                        job.record(gap);
                    }>{tr!("Don't count that time as work")}</button>
                })}
            </div>
        })
    })
}
