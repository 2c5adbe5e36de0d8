//! The outlook as text: when the job will be done, how certain that is, and the
//! turn-back time. Pure.

use std::sync::Arc;

use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_estimate::turn_back::Nearness;
use lidoff_estimate::{Forecast, Sum, TurnBack};
use lidoff_i18n::{number, tr};
use lidoff_job::outlook::{forecast, step_forecast, sum, turn_back};
use lidoff_job::{
    Job, JobId, JobPhase, Log, NamedTask, Opened, PlannedStep, Stamp, Status, closing_up, fold,
};
use lidoff_planner::progress::ProgressHandler;
use lidoff_planner::{Limits, plan_async};

use super::display::format_duration;

/// The time to close up from here, including prove and hand over, at a pace of 1.
///
/// # Errors
/// Why there is no way to close up, in words.
pub async fn close_up(
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    handler: &mut dyn ProgressHandler,
) -> Result<Sum, Text> {
    let position = closing_up(job, catalog, now).map_err(|error| error.to_string())?;
    let plan = plan_async(&position.request(catalog, Limits::INTERACTIVE), handler).await;
    let plan = plan.map_err(|why| why.words(catalog))?;
    Ok(sum(&position.snapshot(catalog, &plan).steps))
}

/// What to heed when closing up is offered while the unit may be live: a reading of an isolation
/// failed, or a source turned out not to be isolated.
pub fn closing_warning(job: &Job) -> Option<Text> {
    let is_isolating = |step: &PlannedStep| step.phase == JobPhase::Isolate;
    let is_doubtful = job.is_stopped() && job.next().is_some_and(is_isolating);
    (is_doubtful || job.lost_isolation().is_some())
        .then(|| tr!("The unit may be live. Close it from outside; do not reach in."))
}

/// The outlook as text.
#[derive(Clone, Debug, PartialEq)]
pub struct OutlookText {
    /// "14:12 · 8 in 10 by 14:31 · 19 in 20 by 14:40"; a line breaks between the figures.
    pub done_by: Text,
    /// The pace of the job, and how certain the outlook is.
    pub sure: Text,
    /// The turn-back time; empty if there is none.
    pub turn_back: Text,
    /// How close it is.
    pub nearness: Nearness,
}

/// The outlook of a job, with the time to close up from here if it is known. `clock` is the
/// local time of day at a moment by the wall clock, ms.
pub fn describe_outlook(
    job: &Job,
    close_up: Option<Sum>,
    now: &Stamp,
    clock: fn(i64) -> Text,
) -> OutlookText {
    let left = forecast(job, now);
    let by = |certainty: f64| clock(in_ms(now, left.at(certainty)));
    let it = close_up.and_then(|close_up| turn_back(job, close_up));
    let (nearness, turn_back) = it.map_or((Nearness::Ample, Text::new()), |it| {
        of_turn_back(job, &it, &left, now, clock)
    });
    OutlookText {
        done_by: tr!(
            "{} · 8\u{a0}in\u{a0}10\u{a0}by\u{a0}{} · 19\u{a0}in\u{a0}20\u{a0}by\u{a0}{}",
            by(0.5),
            by(0.8),
            by(0.95)
        ),
        sure: sure(&left),
        turn_back,
        nearness,
    }
}

/// So many seconds from now, by the wall clock, ms.
const fn in_ms(now: &Stamp, seconds: f64) -> i64 {
    now.wall_ms.saturating_add((seconds * 1000.0) as i64)
}

fn sure(left: &Forecast) -> Text {
    let percent = number(left.pace.log_sd.exp_m1() * 100.0, 0);
    if left.learned_from == 0 {
        return tr!(
            "The pace of this job is not known yet (± {percent} %).",
            percent
        );
    }
    let doubt = if left.doubt_about_pace() > 0.5 {
        tr!("the pace")
    } else {
        tr!("single steps")
    };
    tr!(
        "So far this job takes {pace} × the estimate (n = {n}, ± {percent} %). Most of the uncertainty comes from {doubt}.",
        pace = number(left.pace.median(), 2),
        n = left.learned_from,
        percent,
        doubt
    )
}

fn of_turn_back(
    job: &Job,
    it: &TurnBack,
    left: &Forecast,
    now: &Stamp,
    clock: fn(i64) -> Text,
) -> (Nearness, Text) {
    let (at, leave) = (clock(it.at_ms), clock(it.leave_by_ms));
    let needs = format_duration(it.close_up.p80_s);
    if in_ms(now, left.at(0.8)) <= it.leave_by_ms {
        let words = tr!(
            "You should finish before {leave}. If something goes wrong, turn back by {at}.",
            at,
            leave
        );
        return (Nearness::Ample, words);
    }
    let step_s = step_forecast(job, now).at(0.8);
    let near = it.nearness(now.wall_ms, step_s);
    let words = match near {
        Nearness::Ample => tr!(
            "Turn back by {at}. Closing up from here takes {needs} (8 in 10). You must leave by {leave}.",
            at,
            needs,
            leave
        ),
        Nearness::Soon => {
            let in_s = (it.at_ms - now.wall_ms) as f64 / 1000.0;
            tr!(
                "Turn back by {at}, in {}. Closing up from here takes {needs} (8 in 10). You must leave by {leave}.",
                format_duration(in_s.max(60.0)),
                at,
                needs,
                leave
            )
        }
        Nearness::Passed => tr!(
            "The turn-back time {at} has passed. Closing up now takes until {} (8 in 10). You must leave by {leave}.",
            clock(in_ms(now, it.close_up.p80_s)),
            at,
            leave
        ),
    };
    (near, words)
}

/// A visit that left tasks for the next one.
#[derive(Debug, PartialEq)]
pub struct LeftOpen {
    /// The visit.
    pub id: JobId,
    /// Its opening event.
    pub opened: Opened,
    /// How the unit is fitted, and what has been answered.
    pub setup: Configuration,
    /// The tasks.
    pub tasks: Vec<NamedTask>,
}

/// Visits to this kind of unit with open tasks that no later visit has taken over.
pub fn left_open(logs: &[Arc<Log>], unit: &str) -> Vec<LeftOpen> {
    let mut left: Vec<LeftOpen> = Vec::new();
    let mut followed: Vec<JobId> = Vec::new();
    for log in logs {
        let job = fold(log);
        let tasks: Vec<NamedTask> = job.left_for_next().cloned().collect();
        let Some(opened) = job.opened else { continue };
        followed.extend(opened.follows.clone());
        let closed = matches!(job.status, Status::Closed { .. });
        if closed && opened.unit.id == unit && !tasks.is_empty() {
            left.push(LeftOpen {
                id: log.job().clone(),
                opened,
                setup: job.setup,
                tasks,
            });
        }
    }
    left.retain(|one| !followed.contains(&one.id));
    left
}
