//! The audit: every rule over one plan.

use lidoff_catalog::format::CatalogFile;

use super::case::Case;
use super::rule::BrokenRule;
use super::runs::{Report, Run, cut};
use super::unit::Unit;
use super::{hazards, legality, needless, power, practice, tally};

/// Audits plans for one unit.
///
/// ```
/// use lidoff_auditor::{Auditor, Case, Rule, Task};
///
/// let catalog = r#"{
///   "format": "lidoff-catalog/2",
///   "unit": {"id": "blower", "name": "Blower", "kind": "blower", "revision": "1",
///            "about": "An example.", "safety": "It does not exist.", "source": "Invented."},
///   "faces": [], "tools": [], "fasteners": [], "hazards": [],
///   "sources": [{"id": "mains", "name": "Mains", "kind": "mains", "isolated": "Mains off",
///     "live": "Mains on", "isolation": {
///       "out": [{"id": "m1", "do": "Pull the plug.", "unplug": ["plug"]},
///               {"id": "m2", "do": "Press start.", "reading": {"seen": "Nothing starts"}}],
///       "back": [{"id": "m3", "do": "Plug it in.", "plug": ["plug"]}]},
///     "connections": [{"id": "plug", "cable": "Mains", "port": "Wall"}]}],
///   "make_safe": [],
///   "parts": [{"id": "fan", "name": "Fan",
///     "take_off": {"out": [{"id": "f1", "do": "Lift out the fan."}],
///                  "back": [{"id": "f2", "do": "Set in the fan."}]},
///     "swap": {"steps": [{"id": "f3", "do": "Unpack the new fan."}]}}],
///   "prove": [{"id": "p1", "do": "Feel the air."}], "hand_over": []
/// }"#;
/// let auditor = Auditor::new(serde_json::from_str(catalog).unwrap());
/// let case = |steps: &[&str]| Case {
///     tasks: vec![Task::Replace("fan".into())],
///     steps: steps.iter().map(|id| (*id).into()).collect(),
///     ..Case::default()
/// };
/// let sound = case(&["m1", "m2", "f1", "f3", "f2", "m3", "p1"]);
/// assert_eq!(auditor.audit(&sound), []);
/// let live = auditor.audit(&case(&["f1", "f3", "f2", "p1"]));
/// assert_eq!(live[0].rule, Rule::WorkWhileLive);
/// assert_eq!(live[0].step, 0);
/// assert_eq!(
///     live[0].sentence,
///     "Step 1 “Lift out the fan.” is done within reach of “Mains”, which is live, and the \
///      catalog does not say that it may be."
/// );
/// ```
pub struct Auditor {
    file: CatalogFile,
}

impl Auditor {
    /// For the unit of this catalog.
    pub fn new(file: CatalogFile) -> Self {
        Self {
            file: file.migrate(),
        }
    }

    /// The catalog, in the current format.
    pub const fn file(&self) -> &CatalogFile {
        &self.file
    }

    /// Every rule that the plan breaks, in the order of its steps.
    pub fn audit(&self, case: &Case) -> Vec<BrokenRule> {
        let unit = Unit::new(&self.file, case);
        let mut report = Report::default();
        let runs = cut(&unit, &mut report);
        let all: Vec<&Run> = runs.iter().collect();
        legality::walk(&unit, &all, &mut report);
        needless::check(&unit, &runs, &mut report);
        tally::check(&unit, &runs, &mut report);
        practice::check(&unit, &runs, &mut report);
        power::check(&unit, &runs, &mut report);
        hazards::check(&unit, &runs, &mut report);
        report
            .broken
            .sort_by_key(|broken| (broken.step, broken.rule));
        report.broken
    }
}
