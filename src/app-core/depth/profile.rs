//! The steps of a job as spans of time at a depth.

use lidoff_catalog::format::Text;
use lidoff_i18n::{localize, tr};
use lidoff_job::{JobPhase, OpRef, PlannedStep};

use super::open::Open;

/// One step in the profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// Number of the step in its job.
    pub number: u32,
    /// When it begins, s from the left edge.
    pub from_s: f64,
    /// When it ends, s from the left edge.
    pub to_s: f64,
    /// Its estimate, s.
    pub planned_s: f64,
    /// Waiting at its beginning that is still to come, s.
    pub wait_s: f64,
    /// Parts off or eased while it runs.
    pub depth: usize,
    /// Whether it is done.
    pub done: bool,
}

/// A depth of the profile: the part that was opened when the work first came that deep.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Floor {
    /// Name of the part.
    pub part: Text,
    /// Whether it is only eased, as a door is.
    pub is_eased: bool,
}

impl Floor {
    /// "Service door open", "Lower cover off".
    pub fn describe(&self) -> Text {
        let part = localize(&self.part);
        if self.is_eased {
            tr!("{part} open", part)
        } else {
            tr!("{part} off", part)
        }
    }
}

/// All the steps of a job, done and to come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profile {
    /// In order of time.
    pub spans: Vec<Span>,
    /// Total time, s.
    pub total_s: f64,
    /// The greatest depth.
    pub deepest: usize,
    /// The floors from depth 1 on.
    pub floors: Vec<Floor>,
}

impl Profile {
    /// A profile of these steps in order, each with its actual or estimated time (s) and
    /// whether it is done.
    pub fn new<'a>(steps: impl IntoIterator<Item = (&'a PlannedStep, f64, bool)>) -> Self {
        let mut open = Open::default();
        let mut profile = Self::default();
        for (step, seconds, done) in steps {
            let from_s = profile.total_s;
            let seconds = seconds.max(0.0);
            profile.total_s += seconds;
            profile.deepest = profile.deepest.max(open.many());
            profile.spans.push(Span {
                number: step.number,
                from_s,
                to_s: profile.total_s,
                planned_s: step.expected_s(),
                wait_s: if done { 0.0 } else { step.wait_s.min(seconds) },
                depth: open.many(),
                done,
            });
            // Energy is isolated and made live; that opens nothing.
            if !matches!(step.phase, JobPhase::Isolate | JobPhase::Energise) {
                for op in &step.completes {
                    open.after(op);
                    if open.many() > profile.floors.len() {
                        profile.floors.push(Floor {
                            part: step.about.clone().unwrap_or_default(),
                            is_eased: matches!(op, OpRef::Ease(_)),
                        });
                    }
                }
            }
            profile.deepest = profile.deepest.max(open.many());
        }
        profile
    }

    /// Actual time of the completed steps, s.
    pub fn done_s(&self) -> f64 {
        let done = self.spans.iter().filter(|span| span.done);
        done.map(|span| span.to_s - span.from_s).sum()
    }

    /// Estimated time of the completed steps, s.
    pub fn planned_done_s(&self) -> f64 {
        let done = self.spans.iter().filter(|span| span.done);
        done.map(|span| span.planned_s).sum()
    }

    /// Index of the current step: the first that is not done.
    pub fn here(&self) -> Option<usize> {
        self.spans.iter().position(|span| !span.done)
    }

    /// Parts off or eased now.
    pub fn depth_now(&self) -> usize {
        self.here().map_or(0, |at| self.spans[at].depth)
    }

    /// Index of the step at this time, or of the nearest one; `None` if there are no steps.
    /// A finger is wider than most steps, so a tap only gives the starting point for
    /// browsing.
    pub fn nearest(&self, seconds: f64) -> Option<usize> {
        let far = |span: &Span| (span.from_s - seconds).max(seconds - span.to_s).max(0.0);
        let mut best: Option<(usize, f64)> = None;
        for (at, span) in self.spans.iter().enumerate() {
            if best.is_none_or(|(_, least)| far(span) < least) {
                best = Some((at, far(span)));
            }
        }
        best.map(|(at, _)| at)
    }
}
