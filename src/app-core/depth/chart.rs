//! The layout of a profile: its extent, and where the labels of its vertical lines fit.

use super::profile::Profile;

/// How much longer than the job itself the sheet may be, to show when one must
/// leave.
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
    /// A sheet of this width and height, its upper left corner at (left, top), for
    /// a profile. It reaches as far as the profile, actual and planned, and as
    /// `leave_at_s` (s from the left edge) if that is not much farther.
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

    /// How far it reaches, s.
    pub const fn to_s(&self) -> f64 {
        self.to_s
    }

    /// A time along the sheet.
    pub fn x(&self, seconds: f64) -> f64 {
        self.left + self.width * seconds / self.to_s
    }

    /// A depth down the sheet.
    pub fn y(&self, depth: usize) -> f64 {
        self.top + self.height * depth as f64 / self.deepest as f64
    }

    /// The time at a place along the sheet, from its beginning to its end.
    pub fn seconds(&self, x: f64) -> f64 {
        (self.to_s * (x - self.left) / self.width).clamp(0.0, self.to_s)
    }

    /// A time along the sheet, where it is on it.
    pub fn place(&self, seconds: f64) -> Option<f64> {
        (0.0..=self.to_s)
            .contains(&seconds)
            .then(|| self.x(seconds))
    }
}

/// Where words stand beside a vertical line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Flag {
    /// Of the line.
    pub x: f64,
    /// Where the words begin, or end if they stand to the left of the line.
    pub text_x: f64,
    /// They stand to the left of the line.
    pub left: bool,
    /// In which row from the top; no words in one row run into each other.
    pub row: usize,
}

/// Finds room for words beside vertical lines: for each line its place and how
/// long its words are, on a sheet that ends at `end`.
pub fn flags(lines: &[(f64, f64)], end: f64) -> Vec<Flag> {
    const GAP: f64 = 4.0;
    let mut taken: Vec<(usize, f64, f64)> = Vec::new();
    let mut flags = Vec::new();
    for &(x, long) in lines {
        let left = x + GAP + long > end;
        // Where neither side has room for all, they begin at the edge.
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
