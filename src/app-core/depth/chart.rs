//! The layout of a profile: its extent, and where the labels of its vertical lines fit.

use super::profile::Profile;

/// How much longer than the job the chart may be, to show the time to leave.
const REACH: f64 = 1.3;

/// Scales of a drawing: seconds and depths into drawing units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chart {
    left: f64,
    top: f64,
    width: f64,
    height: f64,
    to_s: f64,
    deepest: usize,
}

impl Chart {
    /// A chart of this width and height, with its upper left corner at (left, top), for a
    /// profile. It covers the profile, actual and planned, and `leave_at_s` (s from the
    /// left edge) if that is not much later.
    pub fn new(
        profile: &Profile,
        (left, top): (f64, f64),
        (width, height): (f64, f64),
        leave_at_s: Option<f64>,
    ) -> Self {
        let steps_s = profile.total_s.max(profile.planned_done_s()).max(1.0);
        let near = leave_at_s.filter(|at| *at <= REACH * steps_s);
        Self {
            left,
            top,
            width,
            height,
            to_s: near.map_or(steps_s, |at| at.max(steps_s)),
            deepest: profile.deepest.max(1),
        }
    }

    /// The end of the chart, s.
    pub const fn to_s(&self) -> f64 {
        self.to_s
    }

    /// The x coordinate of a time.
    pub fn x(&self, seconds: f64) -> f64 {
        self.left + self.width * seconds / self.to_s
    }

    /// The y coordinate of a depth.
    pub fn y(&self, depth: usize) -> f64 {
        self.top + self.height * depth as f64 / self.deepest as f64
    }

    /// The time at an x coordinate, within the chart.
    pub fn seconds(&self, x: f64) -> f64 {
        (self.to_s * (x - self.left) / self.width).clamp(0.0, self.to_s)
    }

    /// The x coordinate of a time; `None` if it is outside the chart.
    pub fn place(&self, seconds: f64) -> Option<f64> {
        (0.0..=self.to_s)
            .contains(&seconds)
            .then(|| self.x(seconds))
    }
}

/// Position of the label of a vertical line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flag {
    /// x coordinate of the line.
    pub x: f64,
    /// Start of the label, or its end if it is to the left of the line.
    pub text_x: f64,
    /// Whether the label is to the left of the line.
    pub left: bool,
    /// Row from the top; labels in one row do not overlap.
    pub row: usize,
}

/// Places the labels of vertical lines. Each line is given by its x coordinate and the
/// width of its label; the chart ends at `end`.
pub fn flags(lines: &[(f64, f64)], end: f64) -> Vec<Flag> {
    const GAP: f64 = 4.0;
    let mut taken: Vec<(usize, f64, f64)> = Vec::new();
    let mut flags = Vec::new();
    for &(x, long) in lines {
        let left = x + GAP + long > end;
        // If neither side has room for the whole label, it starts at the edge.
        let from = if left {
            (x - GAP - long).max(0.0)
        } else {
            x + GAP
        };
        let till = from + long;
        let free = |row: usize| {
            let mut others = taken.iter().filter(|(other, ..)| *other == row);
            others.all(|(_, start, stop)| till + GAP < *start || from > *stop + GAP)
        };
        let row = (0..lines.len()).find(|row| free(*row)).unwrap_or_default();
        taken.push((row, from, till));
        flags.push(Flag {
            x,
            text_x: if left { till } else { from },
            left,
            row,
        });
    }
    flags
}
