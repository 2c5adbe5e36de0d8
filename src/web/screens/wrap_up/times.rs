//! How long the job took, against its estimate.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{rows, text};
use lidoff_app_core::display::{capitalize, format_clock, format_duration};
use lidoff_i18n::{localize, number, tr};
use lidoff_job::{Job, JobPhase};

/// The job as a whole.
#[component]
pub(super) fn Times(job: OpenJob) -> impl IntoView {
    let times = job.slice(|job| {
        let planned_s: f64 = job.done.iter().map(|done| done.step.expected_s()).sum();
        (job.worked_ms as f64 / 1000.0, planned_s)
    });
    view! {
        <dl class="facts">
            <div><dt>{tr!("Actual time")}</dt><dd>{text(move || format_duration(times.get().0))}</dd></div>
            <div><dt>{tr!("Estimate for these steps")}</dt><dd>{text(move || format_duration(times.get().1))}</dd></div>
            <div><dt>{tr!("Pace")}</dt><dd>{text(move || times.with(|(worked_s, planned_s)| pace(*worked_s, *planned_s)))}</dd></div>
        </dl>
    }
}

fn pace(actual: f64, planned: f64) -> String {
    if planned > 0.0 {
        tr!("{} × the estimate", number(actual / planned, 2))
    } else {
        "–".to_owned()
    }
}

/// A phase: number of completed steps, their estimate and their actual time, ms.
type PhaseTimes = (JobPhase, usize, i64, i64);

fn phase_times(job: &Job) -> Vec<PhaseTimes> {
    let of_phase = |phase| {
        let steps = || job.done.iter().filter(move |done| done.step.phase == phase);
        let many = steps().count();
        let planned_s: f64 = steps().map(|done| done.step.expected_s()).sum();
        let actual_ms: i64 = steps().map(|done| done.work_ms).sum();
        (many > 0).then_some((phase, many, (planned_s * 1000.0) as i64, actual_ms))
    };
    JobPhase::ALL.into_iter().filter_map(of_phase).collect()
}

/// Phase by phase.
#[component]
pub(super) fn Phases(job: OpenJob) -> impl IntoView {
    let times = job.slice(phase_times);
    let row = |(phase, many, planned_ms, actual_ms): PhaseTimes| {
        view! {
            <tr>
                <td>{capitalize(&localize(phase.name()))}</td>
                <td>{many}</td>
                <td>{format_clock(planned_ms)}</td>
                <td>{format_clock(actual_ms)}</td>
            </tr>
        }
    };
    view! {
        <div class="scroll">
            <table>
                <thead><tr><th>{tr!("Phase")}</th><th>{tr!("Steps")}</th><th>{tr!("Plan")}</th><th>{tr!("Actual")}</th></tr></thead>
                <tbody>{rows(move || times.get(), Clone::clone, row)}</tbody>
            </table>
        </div>
    }
}
