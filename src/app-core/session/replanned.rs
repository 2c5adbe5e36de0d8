//! What a new plan changes.

use lidoff_catalog::format::Text;
use lidoff_i18n::tr;
use lidoff_job::{Job, PlanSnapshot, Reason};

use crate::display::format_duration;

/// A new plan of a job, compared with the remaining steps of the old one.
#[derive(Clone, Debug, PartialEq)]
pub struct Replanned {
    /// Why it was made.
    pub because: Reason,
    /// Steps and planned time left, s, by the old plan.
    pub before: (usize, f64),
    /// The same by the new one.
    pub after: (usize, f64),
    /// Whether its steps are others, or come in another order.
    pub is_other: bool,
}

impl Replanned {
    pub(super) fn new(job: &Job, plan: &PlanSnapshot, because: Reason) -> Self {
        let before = job.remaining.iter().map(|step| &step.step);
        Self {
            because,
            before: (job.remaining.len(), job.left_s()),
            after: (plan.steps.len(), plan.total_s),
            is_other: before.ne(plan.steps.iter().map(|step| &step.step)),
        }
    }

    /// What a new plan changes, where the screen does not show it by itself.
    pub fn describe(&self) -> Option<Text> {
        let Self {
            because,
            before: (steps_before, before_s),
            after: (steps, after_s),
            is_other,
        } = self;
        match because {
            Reason::VerifyIsolation => Some(tr!(
                "The work was interrupted for long: verify the isolation before you go on."
            )),
            Reason::Answered | Reason::EntryUndone if *is_other => {
                let (before, now) = (format_duration(*before_s), format_duration(*after_s));
                Some(tr!(
                    "The plan has changed: about {now} left instead of {before}, {steps} steps instead of {steps_before}.",
                    now,
                    before,
                    steps,
                    steps_before
                ))
            }
            _ => None,
        }
    }
}
