//! Random units with energy sources.

use lidoff_auditor::{Case, Rule};
use lidoff_testkit::deterministic_samples;
use lidoff_testkit::random::{UnitFeatures, files};

use crate::jobs::{Outcome, Unit};

/// Number of units; each is audited in two configurations.
const UNITS: usize = 100;

/// The words of random units are not judged. A source that is half isolated or half live when
/// the job is closed up is at present made live at once, though the unit is open.
fn is_known(rule: Rule, case: &Case) -> bool {
    let is_half_way = || {
        let mut begun = case.start.begun.iter();
        begun.any(|id| id.as_str().contains("-isolate-") || id.as_str().contains("-energise-"))
    };
    rule.is_about_the_catalog()
        || (matches!(rule, Rule::UnitIntact | Rule::NeedsUnmet)
            && case.tasks.is_empty()
            && is_half_way())
}

#[test]
fn no_plan_for_a_random_unit_with_sources_breaks_a_rule_of_order() {
    let mut outcome = Outcome::new(is_known);
    let with = UnitFeatures::OUT_OF_USE.sized(3, 7);
    for (nth, file) in deterministic_samples(files(with), UNITS).enumerate() {
        let Some(unit) = Unit::new(&file) else {
            continue;
        };
        let configurations = unit.configurations();
        let last = configurations.len().saturating_sub(1);
        for at in [nth * 7 % (last + 1), last] {
            let configuration = &configurations[at];
            let tasks = unit.tasks(configuration);
            for (at, task) in tasks.iter().enumerate() {
                let other = &tasks[(at + 1 + nth) % tasks.len()];
                let pair = [task.clone(), other.clone()];
                let many = if task == other { 1 } else { 2 };
                unit.audit_job(configuration, &pair[..1], (&[1, 2, 3, 4], 5), &mut outcome);
                unit.audit_job(configuration, &pair[..many], (&[1, 2, 3], 4), &mut outcome);
            }
        }
    }
    outcome.check("random units");
}
