//! Learned times from finished jobs: which steps were timed, how long they took
//! compared with the catalog, and the resulting estimates.

use lidoff_catalog::format::{Element, StepId, Text};
use lidoff_estimate::forecast::CompletedStep;
use lidoff_estimate::handbook;
use lidoff_estimate::learn::{Row, between_sd, elements, step};
use lidoff_estimate::learned_times::{LearnedElement, LearnedStep, LearnedTimes};
use lidoff_estimate::robust::Observed;
use lidoff_job::{DoneStep, Job, JobId};

/// Minimum number of timings for a correction. Common practice, no source.
const AT_LEAST: u32 = 3;

/// One step of one unit, with all its observations.
struct Gathered<'a> {
    unit: &'a str,
    step: &'a StepId,
    action: &'a Text,
    handbook_s: f64,
    seen: Vec<Observed>,
}

/// The times learned from these jobs; `made` says when, as text. Completed steps of open
/// jobs count too.
pub fn learn(jobs: &[(JobId, Job)], made: Text) -> LearnedTimes {
    let mut steps: Vec<Gathered> = Vec::new();
    let mut rows = Vec::new();
    for (nth, (_, job)) in jobs.iter().enumerate() {
        let Some(opened) = &job.opened else { continue };
        for done in &job.done {
            let Some((seen, shares)) = observed(done) else {
                continue;
            };
            let (unit, id) = (opened.unit.id.as_str(), &done.step.step);
            let known = steps
                .iter()
                .position(|one| one.unit == unit && one.step == id);
            let place = known.unwrap_or(steps.len());
            if known.is_none() {
                steps.push(Gathered {
                    unit,
                    step: id,
                    action: &done.step.action,
                    handbook_s: 0.0,
                    seen: Vec::new(),
                });
            }
            let of_step = &mut steps[place];
            // The latest catalog time is the one to correct.
            of_step.handbook_s = done.step.catalog_work_s();
            of_step.seen.push(seen);
            rows.push(Row {
                job: nth,
                seen,
                shares,
            });
        }
    }
    let between = between_sd(steps.iter().map(|one| one.seen.as_slice()));
    let jobs = jobs.iter().filter(|(_, job)| !job.done.is_empty()).count();
    LearnedTimes {
        made,
        jobs: u32::try_from(jobs).unwrap_or(u32::MAX),
        steps: corrected_steps(between, steps),
        elements: corrected_elements(between, &rows),
    }
}

fn corrected_steps(between: f64, steps: Vec<Gathered>) -> Vec<LearnedStep> {
    let corrected = steps.into_iter().filter_map(|of_step| {
        let learned = step(between, &of_step.seen);
        (learned.n >= AT_LEAST).then(|| LearnedStep {
            unit: of_step.unit.to_owned(),
            step: of_step.step.clone(),
            action: of_step.action.clone(),
            handbook_s: tenth(of_step.handbook_s),
            actual_s: tenth(of_step.handbook_s * learned.log_ratio.exp()),
            n: learned.n,
        })
    });
    corrected.collect()
}

fn corrected_elements(between: f64, rows: &[Row]) -> Vec<LearnedElement> {
    let learned = elements(between, rows).into_iter();
    let often = learned.filter(|(_, learned)| learned.n >= AT_LEAST);
    often
        .map(|(element, learned)| {
            let handbook_s = handbook::entry(element).seconds;
            LearnedElement {
                element,
                handbook_s,
                // Elements take seconds: a tenth would hide what was learned.
                actual_s: (handbook_s * learned.log_ratio.exp() * 100.0).round() / 100.0,
                n: learned.n,
            }
        })
        .collect()
}

fn tenth(seconds: f64) -> f64 {
    // A time that rounds to zero must stay above zero.
    ((seconds * 10.0).round() / 10.0).max(0.1)
}

/// The observation from a step; `None` if the clocks alone do not give its time, if it had
/// to wait, or if it was marked done together with another.
fn observed(done: &DoneStep) -> Option<(Observed, Vec<(Element, f64)>)> {
    let step = &done.step;
    if !done.is_reliable || step.wait_s > 0.0 {
        return None;
    }
    let expected = step.catalog_estimate();
    let done = CompletedStep {
        expected,
        actual_s: done.work_ms as f64 / 1000.0,
    };
    if done.is_marked_with_another() {
        return None;
    }
    let seen = done.observed()?;
    let shares = step.elements.iter().map(|one| {
        let takes_s = f64::from(one.count) * handbook::entry(one.element).seconds;
        (one.element, takes_s / expected.mean_s)
    });
    Some((seen, shares.collect()))
}
