//! The steps of a job, phase by phase. Only the current phase is open at first, and a step
//! shows its reason when it is tapped: a technician looks for one step, not for all.

use leptos::prelude::*;

use crate::slice::{OpenJob, Slice};
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::{rows, text};
use crate::widgets::why::Reasons;
use lidoff_app_core::display::capitalize;
use lidoff_app_core::plan_groups::{StepGroup, StepRow, step_groups};
use lidoff_i18n::{localize, tr};
use lidoff_job::JobPhase;

/// The section.
#[component]
pub(super) fn Steps(job: OpenJob) -> impl IntoView {
    let groups = job.slice(step_groups);
    let places = move || {
        groups.with(|groups| {
            let phases = groups.iter().map(|group| group.phase);
            phases.enumerate().collect::<Vec<_>>()
        })
    };
    let group = move |(nth, phase): (usize, JobPhase)| {
        let group = Slice::new(move || groups.with(|groups| groups.get(nth).cloned()));
        let is = move |test: fn(&StepGroup) -> bool| {
            group.with(|group| group.as_ref().is_some_and(test))
        };
        let open = RwSignal::new(untrack(move || is(StepGroup::is_here)));
        let words =
            move || group.with(|group| group.as_ref().map(StepGroup::describe).unwrap_or_default());
        let about =
            move || group.with(|group| group.as_ref().map(StepGroup::about).unwrap_or_default());
        let steps = move || group.get().map(|group| group.rows).unwrap_or_default();
        let name = capitalize(&localize(phase.name()));
        let summary = move || {
            view! {
                <span class="phase">
                    <span>{move || is(StepGroup::is_done).then_some("✓ ")}{name.clone()}</span>
                    <span class="soft small">{text(words)}</span>
                    <span class="soft small about">{text(about)}</span>
                </span>
            }
        };
        let inside = move || {
            view! {
                <ol class="steps">
                    {rows(steps, StepRow::key, move |row| view! { <Step job row/> })}
                </ol>
            }
        };
        view! { <Disclosure class="group" open summary inside/> }
    };
    view! {
        <section class="sheet phases" aria-labelledby="steps">
            <h2 id="steps">{tr!("Steps")}</h2>
            {rows(places, |place| *place, group)}
        </section>
    }
}

#[component]
fn Step(job: OpenJob, row: StepRow) -> impl IntoView {
    let (is_here, is_done) = (row.is_here, row.actual_ms.is_some());
    let action = localize(&row.step.action).into_owned();
    let (time, changes, number) = (row.time(), row.changes(), row.reason);
    let summary = move || {
        view! {
            {is_done.then(|| view! { <span class="hush">{tr!("Done: ")}</span> })}
            <span>{action.clone()}</span>
            <span class="num soft small">{time.clone()}</span>
        }
    };
    let inside = move || {
        let changes = changes.clone();
        view! {
            <div class="soft small">
                {(!changes.is_empty()).then(|| view! { <p>{changes}</p> })}
                <Reasons job number/>
            </div>
        }
    };
    view! {
        <li class:done=is_done class:here=is_here aria-current=is_here.then_some("step")>
            <Disclosure class="why" open=RwSignal::new(false) summary inside/>
        </li>
    }
}
