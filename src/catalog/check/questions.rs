//! Questions: each can be answered, is asked when the answer can be seen, and is asked
//! before its answer is needed.

use super::draft::{Direction, Draft, StepList, StepPlace};
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::precedence;
use crate::format::{Asked, Condition};
use crate::model::{QuestionIx, ResolvedCondition};
use lidoff_i18n::tr;

/// Checks that need only the entry itself.
pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, question) in draft.catalog.questions.iter().enumerate() {
        if question.answers.len() < 2 {
            let at = Path::root().field("questions").nth(nth);
            report.add(
                FaultKind::TooFewAnswers,
                &at.about(EntryKind::Question, question.id.as_str())
                    .field("answers"),
                tr!("A question needs at least two answers."),
                tr!("Add an answer, or remove the question."),
            );
        }
    }
}

/// Checks that need to know which step asks which question.
pub(super) fn asked(draft: &Draft, report: &mut Report) {
    for (ix, question) in draft.catalog.questions() {
        let at = Path::root().field("questions").nth(ix.index());
        let at = at.about(EntryKind::Question, question.id.as_str());
        let asking: Vec<&StepPlace> = asking(draft, ix).collect();
        match (question.asked, asking.as_slice()) {
            (Asked::Before, asking) => {
                for place in asking {
                    report.add(
                        FaultKind::AskedAgain,
                        &place.path.field("asks"),
                        tr!(
                            "“{}” is already answered before the job begins.",
                            question.id
                        ),
                        tr!("Set the question to “in-view”, or do not ask it here."),
                    );
                }
            }
            (Asked::InView | Asked::AsFound, []) => report.add(
                FaultKind::NeverAsked,
                &at,
                tr!("No step asks this question."),
                tr!(
                    "Add “asks”: “{}” to the step where the answer can be seen.",
                    question.id
                ),
            ),
            (Asked::AsFound, asking) => as_found(asking, report),
            (Asked::InView, _) => {}
        }
    }
    for place in &draft.conditions {
        let Some(used) = place.governs else {
            continue;
        };
        for question in questions_of(&place.condition) {
            let mut asking = asking(draft, question).peekable();
            let too_late =
                |asks: &StepPlace| precedence::place_not_before((asks.list, asks.nth), used);
            if asking.peek().is_some() && asking.all(too_late) {
                let id = &draft.catalog.question(question).id;
                report.add(
                    FaultKind::AskedTooLate,
                    &place.path,
                    tr!("“{}” is asked only after its answer is needed here.", id),
                    tr!("Ask it in an earlier step."),
                );
            }
        }
    }
}

/// Checks that as-found questions are asked while the unit is being opened.
fn as_found(asking: &[&StepPlace], report: &mut Report) {
    for place in asking {
        let opening = matches!(
            place.list,
            StepList::MakeSafe | StepList::Leg(_, _, Direction::Out)
        );
        if !opening {
            report.add(
                FaultKind::AskedTooLate,
                &place.path.field("asks"),
                tr!(
                    "An “as-found” question can be asked only while the unit is being \
                     opened."
                ),
                tr!("Ask it in a step on the way out, or set the question to “in-view”."),
            );
        }
    }
}

fn asking(draft: &Draft, question: QuestionIx) -> impl Iterator<Item = &StepPlace> {
    let steps = draft.catalog.steps.iter().zip(&draft.steps);
    steps
        .filter(move |(step, _)| step.asks == Some(question))
        .map(|(_, place)| place)
}

fn questions_of(condition: &ResolvedCondition) -> Vec<QuestionIx> {
    match condition {
        Condition::All(list) | Condition::Any(list) => {
            let mut all: Vec<QuestionIx> = list.iter().flat_map(questions_of).collect();
            crate::insertion_sort(&mut all, |one, next| one > next);
            all.dedup();
            all
        }
        Condition::Not(one) => questions_of(one),
        Condition::Fitted(_) | Condition::Replaced(_) => Vec::new(),
        Condition::Answer { question, .. } => vec![*question],
    }
}
