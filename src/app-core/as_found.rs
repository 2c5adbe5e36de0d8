//! How a part was found at strip-down, repeated at refit. Pure.

use lidoff_catalog::format::{Asked, Condition, Text};
use lidoff_catalog::model::{Catalog, QuestionIx, ResolvedCondition};
use lidoff_catalog::setup::Configuration;
use lidoff_job::{JobPhase, PlannedStep};
use lidoff_planner::Op;

/// An answer found at strip-down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AsFoundAnswer {
    /// The question that was asked.
    pub question: Text,
    /// The answer.
    pub answer: Text,
    /// Whether it was given; otherwise it is assumed.
    pub given: bool,
}

/// Answers from strip-down that matter for this refit step: those to the questions asked
/// when its part came off, and those that the step itself depends on. Empty outside refit.
pub fn as_found_answers(
    catalog: &Catalog,
    step: &PlannedStep,
    setup: &Configuration,
) -> Vec<AsFoundAnswer> {
    if step.phase != JobPhase::Refit {
        return Vec::new();
    }
    let mut questions = Vec::new();
    if let Some(at) = catalog.find_step(step.step.as_str()) {
        asked_by(&catalog.step(at).when, &mut questions);
    }
    // A part that was only eased was not looked at where it comes off.
    let legs = match step.op.as_ref().and_then(|op| op.find(catalog)) {
        Some(Op::Settle(part)) => catalog.part(part).ease.iter().collect(),
        Some(Op::PutBack(part, _)) => catalog.part(part).legs().collect(),
        _ => Vec::new(),
    };
    let out = legs.into_iter().flat_map(|leg| &leg.out);
    questions.extend(out.filter_map(|step| catalog.step(*step).asks));
    let mut all: Vec<AsFoundAnswer> = Vec::new();
    for at in questions {
        let question = catalog.question(at);
        if question.asked != Asked::AsFound {
            continue;
        }
        let given = setup.answers.get(&question.id);
        let answer = given.unwrap_or(&question.assumed);
        let answer = question.answers.iter().find(|one| one.id == *answer);
        let one = AsFoundAnswer {
            question: question.text.clone(),
            answer: answer.map(|one| one.text.clone()).unwrap_or_default(),
            given: given.is_some(),
        };
        if !all.contains(&one) {
            all.push(one);
        }
    }
    all
}

/// The questions that a condition depends on.
fn asked_by(condition: &ResolvedCondition, questions: &mut Vec<QuestionIx>) {
    match condition {
        Condition::All(all) | Condition::Any(all) => {
            for one in all {
                asked_by(one, questions);
            }
        }
        Condition::Not(one) => asked_by(one, questions),
        Condition::Answer { question, .. } => questions.push(*question),
        Condition::Fitted(_) | Condition::Replaced(_) => {}
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::planning::opened;
    use lidoff_catalog::check::read;
    use lidoff_job::{EventKind, Stamp, TaskRef, fold, position};
    use lidoff_planner::{Limits, plan};

    const SORREL: &str = lidoff_testkit::demo::CATALOGS[1].1;

    /// The refit steps of the screen assembly if its stop screws were found like this, each
    /// with its as-found answers, and how often the question was asked.
    fn refit(answer: Option<&str>) -> (Vec<(String, Vec<AsFoundAnswer>)>, usize) {
        let catalog = read("sorrel-14.json", SORREL).expect("a good catalog");
        let setup = Configuration::usual(&catalog);
        let mut log = opened(
            &catalog,
            &setup,
            &[TaskRef::Replace("screen-assembly".into())],
        )
        .expect("a log");
        let mut say = |what| {
            let event = log.draft(Stamp::default(), what);
            log.append(event).expect("an event");
        };
        if let Some(answer) = answer {
            say(EventKind::Answered {
                question: "hinge-screws".into(),
                answer: answer.into(),
            });
        }
        let job = fold(&log);
        let position = position(&job, &catalog, &Stamp::default()).expect("a position");
        let plan = plan(&position.request(&catalog, Limits::INTERACTIVE)).expect("a plan");
        let plan = position.snapshot(&catalog, &plan);
        let asks = plan.steps.iter().filter(|step| {
            let asked = step.asks.as_ref();
            asked.is_some_and(|asked| asked.as_str() == "hinge-screws")
        });
        let many = asks.count();
        let steps = plan.steps.iter().filter(|step| {
            let part = step.op.as_ref().and_then(|op| op.part());
            step.phase == JobPhase::Refit
                && part.is_some_and(|part| part.as_str() == "screen-assembly")
        });
        let answers = steps.map(|step| {
            (
                step.action.clone(),
                as_found_answers(&catalog, step, &job.setup),
            )
        });
        (answers.collect(), many)
    }

    #[test]
    fn loose_screws_get_thread_lock_and_every_step_back_says_that_they_were_loose() {
        let (steps, many) = refit(Some("loose"));
        assert_eq!(many, 1, "it is asked once");
        let locked = steps
            .iter()
            .any(|(action, _)| action.contains("thread lock"));
        assert!(locked, "{steps:?}");
        for (action, answers) in steps {
            assert_eq!(answers.len(), 1, "{action}");
            assert_eq!(answers[0].answer, "Yes, one or both were loose");
            assert!(answers[0].given);
        }
    }

    #[test]
    fn tight_screws_are_tightened_and_no_more() {
        let (steps, _) = refit(Some("tight"));
        assert!(!steps.is_empty());
        for (action, answers) in steps {
            assert!(!action.contains("thread lock"));
            assert_eq!(answers[0].answer, "No, both were tight");
        }
    }

    #[test]
    fn what_nobody_has_answered_is_said_to_be_assumed() {
        let (steps, _) = refit(None);
        assert!(steps.iter().all(|(_, answers)| !answers[0].given));
    }

    #[test]
    fn a_part_that_was_only_opened_has_no_answers_from_taking_it_off() {
        let catalog = lidoff_testkit::demo::perch();
        let setup = Configuration::usual(&catalog);
        let answers = |part: &str| {
            let tasks = [TaskRef::Replace(part.into())];
            let job = fold(&opened(&catalog, &setup, &tasks).expect("a log"));
            let position = position(&job, &catalog, &Stamp::default()).expect("a position");
            let plan = plan(&position.request(&catalog, Limits::INTERACTIVE)).expect("a plan");
            let steps = position.snapshot(&catalog, &plan).steps;
            let of_screen = steps.iter().filter(|step| {
                let part = step.op.as_ref().and_then(|op| op.part());
                step.phase == JobPhase::Refit && part.is_some_and(|part| part.as_str() == "screen")
            });
            let found = of_screen.map(|step| as_found_answers(&catalog, step, &job.setup).len());
            found.collect::<Vec<_>>()
        };
        let opened = answers("speaker");
        assert!(opened.len() > 1 && opened.iter().all(|found| *found == 0));
        assert!(answers("screen").contains(&1), "its shim was looked for");
    }
}
