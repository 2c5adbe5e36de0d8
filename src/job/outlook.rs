//! The outlook from a job's log: its pace, the remaining time, and the turn-back time.
//!
//! Only work counts: the time of a step excludes pauses and spans in which the app was
//! closed ([`fold`](fn@super::fold)). A step teaches nothing about the pace if the
//! clocks alone do not give its time, or if it had to wait.

use lidoff_estimate::forecast::{CompletedStep, Forecast, StepInHand, learn_pace};
use lidoff_estimate::{Pace, Sum, TurnBack};

use super::fold::Job;
use super::planned::PlannedStep;
use super::stamp::Stamp;

/// What each completed step says about the pace.
pub fn paced(job: &Job) -> Vec<CompletedStep> {
    let fit = job
        .done
        .iter()
        .filter(|done| done.is_reliable && done.step.wait_s <= 0.0);
    fit.map(|done| {
        let [work, change, _] = done.step.estimates();
        CompletedStep {
            expected: Sum::from_estimates([work, change]),
            actual_s: done.work_ms as f64 / 1000.0,
        }
    })
    .collect()
}

/// The sum of the estimates of these steps, waits included.
pub fn sum<'a>(steps: impl IntoIterator<Item = &'a PlannedStep>) -> Sum {
    Sum::from_estimates(steps.into_iter().flat_map(PlannedStep::estimates))
}

/// The pace of the job.
pub fn pace(job: &Job) -> Pace {
    learn_pace(&paced(job)).0
}

/// The remaining time of the job, given the work so far on the current step.
pub fn forecast(job: &Job, now: &Stamp) -> Forecast {
    let in_hand = job.next().map(|step| StepInHand {
        work: sum([step]),
        worked_s: job.step_elapsed_ms(now) as f64 / 1000.0,
    });
    let after = sum(job.remaining.iter().skip(1));
    Forecast::new(&paced(job), in_hand, after)
}

/// The remaining time of the current step.
pub fn step_forecast(job: &Job, now: &Stamp) -> Forecast {
    let in_hand = job.next().map(|step| StepInHand {
        work: sum([step]),
        worked_s: job.step_elapsed_ms(now) as f64 / 1000.0,
    });
    Forecast::new(&paced(job), in_hand, Sum::default())
}

/// The turn-back time, given the time to close up from here: the [`sum`] of the plan of
/// [`closing_up`](super::closing_up). `None` if there is no time to leave, or no open task
/// that could be left. The current step counts in full: only the technician knows how far
/// it has come.
pub fn turn_back(job: &Job, close_up: Sum) -> Option<TurnBack> {
    let leave_by_ms = job.leave_by_ms?;
    job.open_tasks().next()?;
    Some(TurnBack::new(leave_by_ms, close_up, pace(job)))
}
