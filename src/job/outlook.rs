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

/// What each step that is done says of the pace.
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

/// All that steps should take, waits included.
pub fn sum<'a>(steps: impl IntoIterator<Item = &'a PlannedStep>) -> Sum {
    Sum::from_estimates(steps.into_iter().flat_map(PlannedStep::estimates))
}

/// How fast the job goes.
pub fn pace(job: &Job) -> Pace {
    learn_pace(&paced(job)).0
}

/// What is left of the job, with so much worked on the step in hand.
pub fn forecast(job: &Job, now: &Stamp) -> Forecast {
    let in_hand = job.next().map(|step| StepInHand {
        work: sum([step]),
        worked_s: job.step_elapsed_ms(now) as f64 / 1000.0,
    });
    let after = sum(job.remaining.iter().skip(1));
    Forecast::new(&paced(job), in_hand, after)
}

/// What is left of the step in hand alone.
pub fn step_forecast(job: &Job, now: &Stamp) -> Forecast {
    let in_hand = job.next().map(|step| StepInHand {
        work: sum([step]),
        worked_s: job.step_elapsed_ms(now) as f64 / 1000.0,
    });
    Forecast::new(&paced(job), in_hand, Sum::default())
}

/// The turn-back time, with all that it takes to close up from here: the [`sum`]
/// of the plan of [`closing_up`](super::closing_up). `None` where nobody has to leave, or no task
/// is open that could be left. A step in hand counts whole: how far it has come,
/// only the technician sees.
pub fn turn_back(job: &Job, close_up: Sum) -> Option<TurnBack> {
    let leave_by_ms = job.leave_by_ms?;
    job.open_tasks().next()?;
    Some(TurnBack::new(leave_by_ms, close_up, pace(job)))
}
