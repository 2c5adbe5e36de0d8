//! Why a step is in the plan, as text.

use lidoff_catalog::format::{Hazard, HazardId, Text};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, JobPhase, Log, PlannedStep, Position, Stamp, fold, position};
use lidoff_planner::progress::ProgressHandler;
use lidoff_planner::{Limits, Op, Phase, Request, explain, find_alternative, plan_async};

/// Why this step of the job is there. For an operation that is still to be done, also the
/// time of the job without it. For a completed step, the reasons are those at that time,
/// from the job's log.
///
/// # Errors
/// When that cannot be told; in words.
pub async fn reasons(
    log: Option<&Log>,
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    number: u32,
    handler: &mut dyn ProgressHandler,
) -> Result<Vec<Text>, Text> {
    if let Some(step) = job.step(number)
        && step.op.is_none()
    {
        return Ok(phase_reasons(step, |id| job.hazard(id)));
    }
    let done = job.done.iter().find(|done| done.step.number == number);
    let origin = match done {
        Some(done) => {
            let then = fold(&log.ok_or_else(replan_first)?.before(done.event));
            StepOrigin::of(&then, catalog, &done.at, number)?
        }
        None => StepOrigin::of(job, catalog, now, number)?,
    };
    let (origin, ops, at) = match origin {
        StepOrigin::Begun(line) => return Ok(vec![line]),
        StepOrigin::Planned(origin, ops, at) => (origin, ops, at),
    };
    let request = origin.request(catalog, Limits::INTERACTIVE);
    let reason = explain(&request, &ops, at).ok_or_else(replan_first)?;
    let mut lines = reason.words(catalog);
    if done.is_none() {
        let planner = async |request: &Request<'_>| plan_async(request, handler).await;
        let other = find_alternative(&request, &ops, reason.op, planner);
        lines.extend(other.await.map(|other| other.words(catalog)));
    }
    Ok(lines)
}

/// Why a step is there that comes before or after all operations.
pub fn phase_reasons<'a>(
    step: &PlannedStep,
    hazard: impl Fn(&HazardId) -> Option<&'a Hazard>,
) -> Vec<Text> {
    let mut lines: Vec<Text> = step.phase.reason().into_iter().collect();
    // A hazard of a later step is not a reason for this one.
    if step.phase == JobPhase::MakeSafe {
        let hazards = step.hazards.iter().filter_map(hazard);
        let against = hazards.map(|hazard| {
            tr!(
                "It protects against this hazard: {}",
                localize(&hazard.text)
            )
        });
        lines.extend(against);
    }
    lines
}

/// Where a step comes from.
enum StepOrigin {
    /// In an operation that is finished first, whatever the plan.
    Begun(Text),
    /// At this index of the operations planned from there.
    Planned(Box<Position>, Vec<Op>, usize),
}

fn replan_first() -> Text {
    tr!("Replan to see the reason.")
}

impl StepOrigin {
    fn of(job: &Job, catalog: &Catalog, now: &Stamp, number: u32) -> Result<Self, Text> {
        let position = position(job, catalog, now).map_err(|error| error.to_string())?;
        let mut ops = Vec::new();
        let mut origin = None;
        for step in &job.remaining {
            if step.number == number {
                origin = Some(ops.len());
            }
            let completed = step.completes.iter().map(|op| op.find(catalog));
            let mut completed = completed
                .collect::<Option<Vec<Op>>>()
                .ok_or_else(replan_first)?;
            // A part that comes new with another one has no operation of its own.
            completed.retain(|op| {
                !position
                    .comes_new
                    .iter()
                    .any(|one| *op == Op::Swap(one.rider))
            });
            ops.extend(completed);
        }
        let mut at = origin.ok_or_else(replan_first)?;
        if let Some(in_hand) = &position.in_hand
            && ops.first() == Some(&in_hand.op)
        {
            ops.remove(0);
            let Some(before) = at.checked_sub(1) else {
                // Turning back from an operation leaves its part where it is.
                let turns_back =
                    position.now.parts == position.from.parts && in_hand.op.phase() == Phase::Refit;
                return Ok(Self::Begun(if turns_back {
                    tr!("It was opened for a route that was dropped, so it is refitted first.")
                } else {
                    tr!("It was already started, so it is finished first.")
                }));
            };
            at = before;
        }
        Ok(Self::Planned(Box::new(position), ops, at))
    }
}
