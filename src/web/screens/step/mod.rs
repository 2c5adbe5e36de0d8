//! The step screen: hazards, what to do, the tool and the face, with instructions; the
//! clock and the estimate; Done within reach of the thumb.

mod alarm;
mod as_found;
mod cables;
mod changes;
mod clock;
mod confirm;
mod done;
mod fasteners;
mod finished;
mod gap;
mod paused;
mod picture;
mod question;
mod records;
mod stale;
mod step_in_hand;

use leptos::prelude::*;

use self::finished::Finished;
use self::gap::AskGap;
use self::paused::Paused;
use self::stale::Stale;
use self::step_in_hand::StepInHand;
use crate::input::StepReader;
use crate::screens::of_job::of_job;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::taps::Taps;
use crate::widgets::dynamic::rebuilt;
use lidoff_i18n::tr;
use lidoff_job::fold::OpenGap;
use lidoff_job::{JobId, PauseReason, PlannedStep, Status};

/// The screen.
#[component]
pub fn StepScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Step"), |job| view! { <Current job/> }.into_any())
}

/// What the screen shows. The screen is rebuilt only when this changes.
#[derive(Clone, PartialEq)]
enum Shown {
    /// The app was closed during work: asks about that time.
    Gap(OpenGap),
    /// Nothing is left to do.
    Finished,
    /// The work is paused.
    Paused(PauseReason),
    /// There is no plan, or none for what was found.
    Stale,
    /// The step in hand.
    Step(Box<PlannedStep>),
}

#[component]
fn Current(job: OpenJob) -> impl IntoView {
    let app = app();
    let work = job.slice(|job| match (&job.status, job.next()) {
        (Status::Closed { .. }, _) => Shown::Finished,
        // It was lost, or its catalog was not there.
        (_, None) if job.plan.is_none() && job.opened.is_some() => Shown::Stale,
        (_, None) => Shown::Finished,
        (Status::Paused(reason), Some(_)) => Shown::Paused(*reason),
        (_, Some(_)) if job.is_plan_stale() => Shown::Stale,
        (_, Some(step)) => Shown::Step(Box::new(step.clone())),
    });
    let shown = Slice::new(move || {
        let gap = app.gaps.with(|gaps| gaps.get(&JobId(job.id())).copied());
        gap.map_or_else(|| work.get(), Shown::Gap)
    });
    // The catalogs may arrive after the screen: with them come the question and the drawing.
    let has_catalog = Slice::new(move || {
        let job = job.get();
        let unit = job.opened.as_ref().map(|opened| opened.unit.id.as_str());
        let library = app.library.get();
        unit.is_some_and(|unit| library.is_some_and(|library| library.find(unit).is_some()))
    });
    // All outlive a step, because a double tap hits the next step.
    let (taps, undo_taps, reader) = (Taps::new(), Taps::new(), StepReader::new());
    rebuilt(move || {
        has_catalog.get();
        let shown = shown.get();
        match &shown {
            Shown::Step(step) => reader.read(&job.get_untracked(), step),
            Shown::Gap(_) | Shown::Finished | Shown::Paused(_) | Shown::Stale => reader.forget(),
        }
        match shown {
            Shown::Gap(gap) => view! { <AskGap job gap/> }.into_any(),
            Shown::Finished => view! { <Finished job/> }.into_any(),
            Shown::Paused(reason) => view! { <Paused job reason/> }.into_any(),
            Shown::Stale => view! { <Stale job undo_taps/> }.into_any(),
            Shown::Step(step) => view! { <StepInHand job step=*step taps undo_taps/> }.into_any(),
        }
    })
}
