//! Entries that nothing uses. They are warnings, because they do no harm.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::Condition;
use crate::model::{Catalog, OptionIx, QuestionIx, ResolvedCondition};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    let steps = || catalog.steps.iter();
    let mut check_used = |kind: EntryKind, list: &str, nth: usize, id: &str, used: bool| {
        if !used {
            let at = Path::root().field(list).nth(nth);
            report.add(
                FaultKind::Unused,
                &at.about(kind, id),
                tr!("This {sort} is not used.", sort = kind),
                tr!("Use it, or remove it."),
            );
        }
    };
    for (ix, tool) in catalog.tools() {
        let mut tools = catalog.tools.iter();
        let used = steps().any(|step| step.tool == Some(ix))
            || tools.any(|other| other.instead.contains(&tool.id));
        check_used(EntryKind::Tool, "tools", ix.index(), &tool.id.0, used);
    }
    for (ix, kind) in catalog.fasteners() {
        let mut fastenings = catalog.fastenings.iter();
        let used = fastenings.any(|fastening| fastening.fastener == ix);
        check_used(
            EntryKind::Fastener,
            "fasteners",
            ix.index(),
            &kind.id.0,
            used,
        );
    }
    for (ix, one) in catalog.consumables() {
        let used = steps().any(|step| step.uses.iter().any(|(used, _)| *used == ix));
        check_used(
            EntryKind::Consumable,
            "consumables",
            ix.index(),
            &one.id.0,
            used,
        );
    }
    for (ix, spare) in catalog.spares() {
        let swaps = catalog.parts.iter().filter_map(|part| part.swap.as_ref());
        let used = swaps.into_iter().any(|swap| swap.spare == Some(ix));
        check_used(EntryKind::Spare, "spares", ix.index(), &spare.id.0, used);
    }
    for (ix, hazard) in catalog.hazards() {
        let used = steps().any(|step| step.hazards.contains(&ix));
        check_used(
            EntryKind::Hazard,
            "hazards",
            ix.index(),
            &hazard.entry.id.0,
            used,
        );
    }
    let used = UsedInConditions::of(draft);
    for (ix, option) in catalog.options() {
        let used = used.options.contains(&ix) || else_of_group(catalog, &used, ix);
        check_used(EntryKind::Option, "options", ix.index(), &option.id.0, used);
    }
    for (ix, question) in catalog.questions() {
        let used = used.questions.contains(&ix);
        check_used(
            EntryKind::Question,
            "questions",
            ix.index(),
            &question.id.0,
            used,
        );
    }
}

/// An option that no condition names is still used if a condition names another option of
/// its group.
fn else_of_group(catalog: &Catalog, used: &UsedInConditions, ix: OptionIx) -> bool {
    let group = &catalog.option(ix).group;
    group.is_some()
        && used
            .options
            .iter()
            .any(|other| catalog.option(*other).group == *group)
}

struct UsedInConditions {
    options: Vec<OptionIx>,
    questions: Vec<QuestionIx>,
}

impl UsedInConditions {
    fn of(draft: &Draft) -> Self {
        let mut used = Self {
            options: Vec::new(),
            questions: Vec::new(),
        };
        for place in &draft.conditions {
            used.add(&place.condition);
        }
        used
    }

    fn add(&mut self, condition: &ResolvedCondition) {
        match condition {
            Condition::All(list) | Condition::Any(list) => {
                for one in list {
                    self.add(one);
                }
            }
            Condition::Not(one) => self.add(one),
            Condition::Fitted(option) => self.options.push(*option),
            Condition::Answer { question, .. } => self.questions.push(*question),
            Condition::Replaced(_) => {}
        }
    }
}
