//! The names of the floors of a profile, where there is room for them.

use lidoff_catalog::format::Text;
use lidoff_i18n::tr;

use super::chart::Chart;
use super::profile::Profile;

/// Least distance between the names of two floors, in drawing units.
const FLOOR_SPACING: f64 = 17.0;

impl Profile {
    /// The names of the floors that there is room for, each with the y coordinate of its
    /// depth: the surface first, the deepest next.
    pub fn floor_names(&self, chart: &Chart) -> Vec<(f64, Text)> {
        let surface = chart.y(0);
        let mut names = vec![(surface, tr!("closed"))];
        let mut below: Option<f64> = None;
        for (above, floor) in self.floors.iter().enumerate().rev() {
            let y = chart.y(above + 1);
            let has_room = below.is_none_or(|below| below - y >= FLOOR_SPACING)
                // The name of the surface is below its line, all others are above theirs.
                && y - surface >= 2.0 * FLOOR_SPACING;
            if has_room && !floor.part.is_empty() {
                names.push((y, floor.describe()));
                below = Some(y);
            }
        }
        names
    }
}
