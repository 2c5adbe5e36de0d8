//! What nothing in the catalog uses: a warning, for it does no harm.

use super::draft::Draft;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::sort::Sort;
use crate::format::Condition;
use crate::model::{Catalog, Cond, OptionIx, QuestionIx};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    let steps = || catalog.steps.iter();
    for (ix, tool) in catalog.tools() {
        let used = steps().any(|step| step.tool == Some(ix));
        tell(
            Sort::Tool,
            "tools",
            ix.index(),
            tool.id.as_str(),
            used,
            report,
        );
    }
    for (ix, kind) in catalog.fasteners() {
        let mut fastenings = catalog.fastenings.iter();
        let used = fastenings.any(|fastening| fastening.fastener == ix);
        tell(
            Sort::Fastener,
            "fasteners",
            ix.index(),
            kind.id.as_str(),
            used,
            report,
        );
    }
    for (ix, one) in catalog.consumables() {
        let used = steps().any(|step| step.uses.iter().any(|(used, _)| *used == ix));
        tell(
            Sort::Consumable,
            "consumables",
            ix.index(),
            one.id.as_str(),
            used,
            report,
        );
    }
    for (ix, spare) in catalog.spares() {
        let swaps = catalog.parts.iter().filter_map(|part| part.swap.as_ref());
        let used = swaps.into_iter().any(|swap| swap.spare == Some(ix));
        tell(
            Sort::Spare,
            "spares",
            ix.index(),
            spare.id.as_str(),
            used,
            report,
        );
    }
    for (ix, hazard) in catalog.hazards() {
        let used = steps().any(|step| step.hazards.contains(&ix));
        tell(
            Sort::Hazard,
            "hazards",
            ix.index(),
            hazard.said.id.as_str(),
            used,
            report,
        );
    }
    let spoken_of = Spoken::of(draft);
    for (ix, option) in catalog.options() {
        let used = spoken_of.options.contains(&ix) || else_of_group(catalog, &spoken_of, ix);
        tell(
            Sort::Option,
            "options",
            ix.index(),
            option.id.as_str(),
            used,
            report,
        );
    }
    for (ix, question) in catalog.questions() {
        let used = spoken_of.questions.contains(&ix);
        tell(
            Sort::Question,
            "questions",
            ix.index(),
            question.id.as_str(),
            used,
            report,
        );
    }
}

fn tell(sort: Sort, list: &str, nth: usize, id: &str, used: bool, report: &mut Report) {
    if !used {
        let at = Path::root().field(list).nth(nth);
        report.say(
            FaultKind::Unused,
            &at.of(sort, id),
            tr!("This {sort} is not used.", sort),
            tr!("Use it, or remove it."),
        );
    }
}

/// An option that no condition names still tells the others of its group from
/// itself.
fn else_of_group(catalog: &Catalog, spoken_of: &Spoken, ix: OptionIx) -> bool {
    let group = &catalog.option(ix).group;
    group.is_some()
        && spoken_of
            .options
            .iter()
            .any(|other| catalog.option(*other).group == *group)
}

struct Spoken {
    options: Vec<OptionIx>,
    questions: Vec<QuestionIx>,
}

impl Spoken {
    fn of(draft: &Draft) -> Self {
        let mut spoken = Self {
            options: Vec::new(),
            questions: Vec::new(),
        };
        for place in &draft.conditions {
            spoken.add(&place.condition);
        }
        spoken
    }

    fn add(&mut self, condition: &Cond) {
        match condition {
            Condition::All(list) | Condition::Any(list) => {
                for one in list {
                    self.add(one);
                }
            }
            Condition::Not(one) => self.add(one),
            Condition::Fitted(option) => self.options.push(*option),
            Condition::Answer { question, .. } => self.questions.push(*question),
        }
    }
}
