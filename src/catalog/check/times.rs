//! Times: each step has one estimate, each wait is started and waited for, and each
//! reading can both pass and fail.

use super::draft::Draft;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::precedence;
use crate::format::{Measured, Reading, Step};
use crate::model::WaitIx;
use lidoff_i18n::{plain, tr};

/// Checks that need only the entry itself.
pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (step, place) in draft.catalog.steps.iter().zip(&draft.steps) {
        estimate(&step.entry, &place.path, report);
        if let Some(reading) = &step.entry.reading {
            limits(reading, &place.path.field("reading").field("value"), report);
        }
        if let Some(wait) = &step.entry.starts_wait
            && wait.seconds == 0
        {
            report.add(
                FaultKind::BadNumber,
                &place.path.field("starts_wait").field("seconds"),
                tr!("The wait must be at least 1 second."),
                tr!("Give the time, or remove the wait."),
            );
        }
    }
}

fn estimate(step: &Step, at: &Path, report: &mut Report) {
    if let Some(measured) = &step.measured {
        if !step.elements.is_empty() {
            report.add(
                FaultKind::TwoEstimates,
                at,
                tr!("The step has both elements and a measured time."),
                tr!("Keep one of the two. A measured time is more accurate."),
            );
        }
        is_measure(*measured, &at.field("measured"), report);
    } else if step.elements.is_empty() {
        report.add(
            FaultKind::NoEstimate,
            at,
            tr!("The step has no time estimate."),
            tr!("List its elements, or give a measured time."),
        );
    }
    for (nth, element) in step.elements.iter().enumerate() {
        if element.count == 0 {
            report.add(
                FaultKind::BadNumber,
                &at.field("elements").nth(nth).field("count"),
                tr!("The count must be at least 1."),
                tr!("Give the count, or remove the element."),
            );
        }
    }
}

fn is_measure(measured: Measured, at: &Path, report: &mut Report) {
    for (field, figure) in [("seconds", measured.seconds), ("cv", measured.cv)] {
        if !(figure.is_finite() && figure > 0.0) {
            report.add(
                FaultKind::BadMeasure,
                &at.field(field),
                tr!("A measured value must be above 0, not {}.", plain(figure)),
                tr!(
                    "Give the mean in seconds, and the spread as standard deviation divided \
                     by mean."
                ),
            );
        }
    }
}

fn limits(reading: &Reading, at: &Path, report: &mut Report) {
    let Reading::Value { low, high, .. } = reading else {
        return;
    };
    match (low, high) {
        (None, None) => report.add(
            FaultKind::NoLimit,
            at,
            tr!("This reading has no limits, so every value would pass."),
            tr!("Give the lowest or the highest value that passes, or both."),
        ),
        (Some(low), Some(high)) if low > high => report.add(
            FaultKind::LimitsCrossed,
            at,
            tr!(
                "The low limit {low} is above the high limit {high}.",
                low = plain(*low),
                high = plain(*high)
            ),
            tr!("Swap the two limits."),
        ),
        _ => {}
    }
}

/// Checks of waits that need to know what each step waits for.
pub(super) fn waits(draft: &Draft, report: &mut Report) {
    let steps = &draft.catalog.steps;
    for (step, place) in steps.iter().zip(&draft.steps) {
        let started_by = |wait: WaitIx| {
            let all = steps.iter().zip(&draft.steps);
            all.filter(move |(other, _)| other.starts_wait == Some(wait))
                .map(|(_, place)| place)
        };
        if let Some(wait) = step.after_wait
            && started_by(wait).all(|start| precedence::not_before(start, place))
        {
            report.add(
                FaultKind::WaitNeverStarted,
                &place.path.field("after_wait"),
                tr!("The wait starts only after this step."),
                tr!("Move this step after the one that starts the wait."),
            );
        }
        if let Some(wait) = step.starts_wait
            && !steps.iter().any(|other| other.after_wait == Some(wait))
        {
            report.add(
                FaultKind::WaitForNothing,
                &place.path.field("starts_wait"),
                tr!("No step waits for this to end."),
                tr!("Name the wait in “after_wait” of the step that must wait for it."),
            );
        }
    }
}
