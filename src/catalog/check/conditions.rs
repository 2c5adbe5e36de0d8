//! Conditions: each can hold on some unit, and one option of each group is the
//! usual one.

use super::configurations::Variables;
use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::Condition;
use crate::model::ResolvedCondition;
use lidoff_i18n::tr;

/// Checks that need only the entry itself.
pub(super) fn groups(draft: &Draft, report: &mut Report) {
    let options = &draft.catalog.options;
    for (nth, option) in options.iter().enumerate() {
        let Some(group) = &option.group else {
            continue;
        };
        let same = |other: &&_| {
            let other: &crate::format::UnitOption = other;
            other.group.as_ref() == Some(group)
        };
        if options[..nth].iter().any(|other| same(&other)) {
            continue;
        }
        let usual = options.iter().filter(same).filter(|other| other.usual);
        let usual: Vec<&str> = usual.map(|other| other.id.as_str()).collect();
        let what = match usual.as_slice() {
            [_] => continue,
            [] => tr!("The group “{group}” has no usual option.", group),
            several => tr!(
                "The group “{group}” has several usual options: {}.",
                several.join(", "),
                group
            ),
        };
        let at = Path::root().field("options").nth(nth);
        report.add(
            FaultKind::NotOneUsual,
            &at.about(EntryKind::Option, option.id.as_str()),
            what,
            tr!("Mark the option that most units have as “usual”."),
        );
    }
}

/// Checks that need the options and answers.
pub(super) fn check(draft: &Draft, variables: &Variables, report: &mut Report) {
    for place in &draft.conditions {
        let mut all: Vec<&ResolvedCondition> = place.under.iter().collect();
        if has_empty_any(&place.condition) || !variables.can_hold(&all) {
            // Told already, there or further out.
            continue;
        }
        let what = if variables.can_hold(&[&place.condition]) {
            all.push(&place.condition);
            if variables.can_hold(&all) {
                continue;
            }
            tr!(
                "This condition is never true on a unit that has the part or step it \
                 belongs to."
            )
        } else {
            tr!("This condition is never true, whatever is fitted or answered.")
        };
        report.add(
            FaultKind::NeverHolds,
            &place.path,
            what,
            tr!(
                "Options of one group exclude each other, and so do answers to one \
                 question. Check whether “all” should be “any”."
            ),
        );
    }
}

fn has_empty_any(condition: &ResolvedCondition) -> bool {
    match condition {
        Condition::All(list) => list.iter().any(has_empty_any),
        Condition::Any(list) => list.is_empty() || list.iter().any(has_empty_any),
        Condition::Not(one) => has_empty_any(one),
        Condition::Fitted(_) | Condition::Answer { .. } | Condition::Replaced(_) => false,
    }
}
