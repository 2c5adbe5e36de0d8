//! The depth profile as geometry: time to the right, depth downward.
//!
//! Depth is how many parts are off or eased while a step runs. Pure: seconds and
//! counts in, corners in drawing units out; the picture is drawn elsewhere.

use std::collections::BTreeMap;

use crate::catalog::format::PartId;
use crate::job::{PlannedStep, SaidOp, SaidWay};

/// One step in the profile.
#[derive(Clone, Debug, PartialEq)]
pub struct Span {
    /// Number of the step in its job.
    pub number: u32,
    /// When it begins, s from the left edge.
    pub from_s: f64,
    /// When it ends, s from the left edge.
    pub to_s: f64,
    /// Parts off or eased while it runs.
    pub depth: usize,
    /// Whether it is done.
    pub done: bool,
}

/// All the steps of a job, done and to come.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profile {
    /// In order of time.
    pub spans: Vec<Span>,
    /// How long it all takes, s.
    pub total_s: f64,
    /// The greatest depth.
    pub deepest: usize,
}

impl Profile {
    /// From the steps in order, each with how long it took or should take (s),
    /// and whether it is done.
    pub fn new<'a>(steps: impl IntoIterator<Item = (&'a PlannedStep, f64, bool)>) -> Self {
        let mut open = Open::new();
        let mut profile = Self::default();
        for (step, seconds, done) in steps {
            let from_s = profile.total_s;
            profile.total_s += seconds.max(0.0);
            profile.deepest = profile.deepest.max(open.len());
            profile.spans.push(Span {
                number: step.number,
                from_s,
                to_s: profile.total_s,
                depth: open.len(),
                done,
            });
            for op in &step.completes {
                walk(&mut open, op);
            }
            profile.deepest = profile.deepest.max(open.len());
        }
        profile
    }

    /// The corners of the line, in a drawing of this width and height, the
    /// surface at the top.
    pub fn corners(&self, width: f64, height: f64) -> Vec<(f64, f64)> {
        let x = |seconds: f64| width * seconds / self.total_s.max(1.0);
        let y = |depth: usize| height * depth as f64 / self.deepest.max(1) as f64;
        let mut corners = vec![(0.0, 0.0)];
        for span in &self.spans {
            corners.push((x(span.from_s), y(span.depth)));
            corners.push((x(span.to_s), y(span.depth)));
        }
        corners.push((x(self.total_s), 0.0));
        corners
    }

    /// How long what is done has taken, s.
    pub fn done_s(&self) -> f64 {
        self.spans
            .iter()
            .filter(|span| span.done)
            .map(|span| span.to_s - span.from_s)
            .sum()
    }
}

/// Which parts are open, and whether each was eased on its way.
type Open = BTreeMap<PartId, bool>;

fn walk(open: &mut Open, op: &SaidOp) {
    match op {
        SaidOp::Ease(part) => {
            open.insert(part.clone(), true);
        }
        SaidOp::TakeOff { part, .. } => {
            open.entry(part.clone()).or_insert(false);
        }
        // A part that was eased on its way out is eased again when it is put back
        // in the unit, and settled after.
        SaidOp::PutBack {
            part,
            way: SaidWay::InPlace,
        } => {
            if open.get(part) == Some(&false) {
                open.remove(part);
            }
        }
        SaidOp::PutBack {
            part,
            way: SaidWay::Bench,
        }
        | SaidOp::Settle(part) => {
            open.remove(part);
        }
        SaidOp::Swap(_) | SaidOp::Reseat(_) | SaidOp::Inspect(_) | SaidOp::Serve(_) => {}
    }
}
