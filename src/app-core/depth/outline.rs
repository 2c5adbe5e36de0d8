//! The lines of a profile as corners in drawing units.

use super::chart::Chart;
use super::profile::Profile;

impl Profile {
    /// The corners of the line of all steps, the surface at depth 0.
    pub fn outline(&self, chart: &Chart) -> Vec<(f64, f64)> {
        corners(
            chart,
            self.spans
                .iter()
                .map(|span| (span.to_s - span.from_s, span.depth)),
        )
    }

    /// The corners of the line that the completed steps would have drawn if each had taken
    /// its estimate; empty if none is done.
    pub fn planned_outline(&self, chart: &Chart) -> Vec<(f64, f64)> {
        let done: Vec<_> = self.spans.iter().filter(|span| span.done).collect();
        if done.is_empty() {
            return Vec::new();
        }
        let mut line = corners(chart, done.iter().map(|span| (span.planned_s, span.depth)));
        // The line ends at the depth of the next step, not at the surface.
        if let Some(last) = line.last_mut() {
            last.1 = chart.y(self.depth_now());
        }
        line
    }

    /// The waits still to come: start, end and depth, in drawing units.
    pub fn waits(&self, chart: &Chart) -> Vec<(f64, f64, f64)> {
        let waiting = self.spans.iter().filter(|span| span.wait_s > 0.0);
        waiting
            .map(|span| {
                let till = span.from_s + span.wait_s;
                (chart.x(span.from_s), chart.x(till), chart.y(span.depth))
            })
            .collect()
    }
}

/// From the surface through steps of (seconds, depth), and up to the surface.
fn corners(chart: &Chart, steps: impl Iterator<Item = (f64, usize)>) -> Vec<(f64, f64)> {
    let mut at_s = 0.0;
    let mut corners = vec![(chart.x(0.0), chart.y(0))];
    for (seconds, depth) in steps {
        corners.push((chart.x(at_s), chart.y(depth)));
        at_s += seconds;
        corners.push((chart.x(at_s), chart.y(depth)));
    }
    corners.push((chart.x(at_s), chart.y(0)));
    corners
}
