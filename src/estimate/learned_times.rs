//! Learned times: times from finished jobs, applied to the catalogs on a phone, and
//! removed again.
//!
//! For each step and element, both figures are kept, that of the handbook (or of the
//! catalog's author) and the learned one, so that everybody can compare them before
//! they are used. The *ratio* of the two is applied, so a correction is still valid
//! after a catalog's estimate has changed. A correction of the step itself takes
//! precedence over those of its elements. A step that its author measured is not
//! affected by elements. The file format is in
//! [`learned_times_file`](super::learned_times_file).

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{Element, StepId, Text};
use lidoff_catalog::model::{Catalog, LearnedTime, Step};
use lidoff_i18n::{number, tr};

use super::estimate::Estimate;
use super::handbook;

/// Times of steps and elements from finished jobs.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LearnedTimes {
    /// When they were learned, as text.
    pub made: Text,
    /// Number of jobs.
    pub jobs: u32,
    pub steps: Vec<LearnedStep>,
    pub elements: Vec<LearnedElement>,
}

/// The learned time of one step.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LearnedStep {
    /// Id of the unit.
    pub unit: String,
    pub step: StepId,
    /// Its action.
    pub action: Text,
    /// By the catalog, s.
    pub handbook_s: f64,
    /// By finished jobs, s.
    #[serde(rename = "seen_s")]
    pub actual_s: f64,
    /// Number of timings.
    pub n: u32,
}

/// The learned time of one element.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LearnedElement {
    pub element: Element,
    /// By the handbook, s.
    pub handbook_s: f64,
    /// By finished jobs, s.
    #[serde(rename = "seen_s")]
    pub actual_s: f64,
    /// Number of steps.
    pub n: u32,
}

impl LearnedTimes {
    /// The learned time of this step of this unit; `None` if there is none.
    pub fn find(&self, unit: &str, step: &Step) -> Option<LearnedTime> {
        let base = Estimate::from_entry(&step.entry).seconds;
        let itself = self
            .steps
            .iter()
            .find(|one| one.unit == unit && one.step == step.entry.id);
        if let Some(LearnedStep {
            handbook_s,
            actual_s,
            n,
            ..
        }) = itself
        {
            return Some(LearnedTime {
                seconds: base * actual_s / handbook_s,
                n: *n,
            });
        }
        if step.entry.measured.is_some() {
            return None;
        }
        let (mut seconds, mut least) = (base, None);
        for one in &step.entry.elements {
            let found = self
                .elements
                .iter()
                .find(|seen| seen.element == one.element);
            let Some(seen) = found else { continue };
            let stands_s = f64::from(one.count) * handbook::entry(one.element).seconds;
            seconds += stands_s * (seen.actual_s / seen.handbook_s - 1.0);
            least = Some(least.map_or(seen.n, |n: u32| n.min(seen.n)));
        }
        least.map(|n| LearnedTime { seconds, n })
    }

    /// Applies these times to a catalog, in place of any that were applied before, and
    /// returns how many of its steps they correct.
    pub fn apply_to(&self, catalog: &mut Catalog) -> usize {
        let unit = catalog.unit().id.clone();
        let learned: Vec<_> = catalog
            .steps()
            .map(|(at, step)| (at, self.find(&unit, step)))
            .collect();
        let many = learned
            .iter()
            .filter(|(_, learned)| learned.is_some())
            .count();
        for (at, learned) in learned {
            catalog.set_learned_time(at, learned);
        }
        many
    }
}

/// "handbook 40 s → actual 55 s (n = 12)".
pub fn describe_difference(handbook_s: f64, actual_s: f64, n: u32) -> String {
    tr!(
        "handbook {} → actual {} (n = {n})",
        short(handbook_s),
        short(actual_s),
        n
    )
}

/// Shows tenths of a second only below ten seconds.
fn short(seconds: f64) -> String {
    if seconds < 9.95 {
        format!("{} s", number(seconds, 1))
    } else {
        format!("{} s", number(seconds, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_difference_is_shown_with_its_sample_size() {
        let shown = describe_difference(40.0, 55.2, 12);
        assert_eq!(shown, "handbook 40 s → actual 55 s (n = 12)");
        let shown = describe_difference(2.4, 3.22, 5);
        assert_eq!(shown, "handbook 2.4 s → actual 3.2 s (n = 5)");
    }
}
