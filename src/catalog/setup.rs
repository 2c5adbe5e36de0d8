//! How *this* unit is fitted, and what the technician has answered so far.

use std::collections::BTreeMap;
use std::fmt;

use serde::{Deserialize, Serialize};

use lidoff_i18n::tr;

use super::format::{AnswerId, Condition, OptionId, QuestionId};
use super::model::{AnswerIx, Catalog, OptionIx, PartIx, QuestionIx, ResolvedCondition};

/// Options and answers by id, as a job stores them.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Configuration {
    /// The options that are fitted.
    pub fitted: Vec<OptionId>,
    /// The answers given so far.
    #[serde(default)]
    pub answers: BTreeMap<QuestionId, AnswerId>,
}

impl Configuration {
    /// The options that this unit usually has, nothing answered yet.
    pub fn usual(catalog: &Catalog) -> Self {
        let usual = catalog.options().filter(|(_, option)| option.usual);
        Self {
            fitted: usual.map(|(_, option)| option.id.clone()).collect(),
            answers: BTreeMap::new(),
        }
    }
}

/// Options and answers resolved in their catalog. Every question has an answer, given or
/// assumed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Setup {
    fitted: Vec<bool>,
    answers: Vec<(AnswerIx, bool)>,
    /// The parts that this job replaces.
    replaced: Vec<PartIx>,
    /// The parts that this job has left out, and their riders.
    left_out: Vec<PartIx>,
}

/// Why a setup does not fit its catalog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SetupError {
    /// The unit has no such option.
    NoSuchOption(OptionId),
    /// The unit has no such question.
    NoSuchQuestion(QuestionId),
    /// The question has no such answer.
    NoSuchAnswer(QuestionId, AnswerId),
    /// Not exactly one option of this group is fitted.
    NotOneOf {
        group: String,
        /// The options that are fitted.
        fitted: Vec<OptionId>,
    },
}

impl fmt::Display for SetupError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoSuchOption(id) => f.write_str(&tr!(
                "This unit has no option “{id}”. Remove it, or check that this is the right \
                 unit.",
                id
            )),
            Self::NoSuchQuestion(id) => f.write_str(&tr!(
                "This unit has no question “{id}”. Remove the answer.",
                id
            )),
            Self::NoSuchAnswer(question, id) => f.write_str(&tr!(
                "“{id}” is not an answer to “{question}”. Answer the question again.",
                id,
                question
            )),
            Self::NotOneOf { group, fitted } if fitted.is_empty() => {
                f.write_str(&tr!("No option of “{group}” is fitted. Choose one.", group))
            }
            Self::NotOneOf { group, fitted } => {
                let names: Vec<&str> = fitted.iter().map(OptionId::as_str).collect();
                f.write_str(&tr!(
                    "Only one option of “{group}” can be fitted, not {}. Choose one.",
                    names.join(&tr!(" and ")),
                    group
                ))
            }
        }
    }
}

impl std::error::Error for SetupError {}

impl Setup {
    /// Finds the options and answers in their catalog.
    ///
    /// # Errors
    /// When an option, question or answer does not exist, or when a group of
    /// options has not exactly one that is fitted.
    pub fn new(catalog: &Catalog, configuration: &Configuration) -> Result<Self, SetupError> {
        let mut fitted = vec![false; catalog.options().len()];
        for id in &configuration.fitted {
            let at = catalog
                .find_option(id.as_str())
                .ok_or_else(|| SetupError::NoSuchOption(id.clone()))?;
            fitted[at.index()] = true;
        }
        let mut answers: Vec<(AnswerIx, bool)> = catalog
            .questions()
            .map(|(at, _)| (catalog.assumed(at), false))
            .collect();
        for (question, answer) in &configuration.answers {
            let at = catalog
                .find_question(question.as_str())
                .ok_or_else(|| SetupError::NoSuchQuestion(question.clone()))?;
            let given = catalog
                .find_answer(at, answer.as_str())
                .ok_or_else(|| SetupError::NoSuchAnswer(question.clone(), answer.clone()))?;
            answers[at.index()] = (given, true);
        }
        one_of_each_group(catalog, &fitted)?;
        Ok(Self {
            fitted,
            answers,
            replaced: Vec::new(),
            left_out: Vec::new(),
        })
    }

    /// The same unit in a job that replaces these parts.
    #[must_use]
    pub fn replacing(mut self, parts: impl IntoIterator<Item = PartIx>) -> Self {
        self.replaced.extend(parts);
        self
    }

    /// The same unit after these parts were left out: it is closed without them and their
    /// riders, and is out of use.
    #[must_use]
    pub fn without(mut self, catalog: &Catalog, parts: impl IntoIterator<Item = PartIx>) -> Self {
        let mut pending: Vec<PartIx> = parts.into_iter().collect();
        while let Some(part) = pending.pop() {
            if !self.left_out.contains(&part) {
                self.left_out.push(part);
                pending.extend(&catalog.part(part).riders);
            }
        }
        self
    }

    /// The same unit if this question is answered so.
    #[must_use]
    pub fn answering(mut self, question: QuestionIx, answer: AnswerIx) -> Self {
        self.answers[question.index()] = (answer, true);
        self
    }

    /// Whether the unit has this part: its condition holds, and it was not left out.
    pub fn has(&self, catalog: &Catalog, part: PartIx) -> bool {
        self.holds(&catalog.part(part).when) && !self.left_out.contains(&part)
    }

    /// Whether a part was left out, so that nothing may be made live again.
    pub fn is_out_of_use(&self) -> bool {
        !self.left_out.is_empty()
    }

    /// Whether this option is fitted.
    pub fn is_fitted(&self, option: OptionIx) -> bool {
        self.fitted[option.index()]
    }

    /// The answer to this question, given or assumed.
    pub fn answer(&self, question: QuestionIx) -> AnswerIx {
        self.answers[question.index()].0
    }

    /// Whether the answer was given, and not assumed.
    pub fn is_answered(&self, question: QuestionIx) -> bool {
        self.answers[question.index()].1
    }

    /// Whether a condition holds on this unit.
    pub fn holds(&self, condition: &ResolvedCondition) -> bool {
        match condition {
            Condition::All(all) => all.iter().all(|one| self.holds(one)),
            Condition::Any(any) => any.iter().any(|one| self.holds(one)),
            Condition::Not(one) => !self.holds(one),
            Condition::Fitted(option) => self.is_fitted(*option),
            Condition::Answer { question, is } => self.answer(*question) == *is,
            Condition::Replaced(part) => self.replaced.contains(part),
        }
    }
}

fn one_of_each_group(catalog: &Catalog, fitted: &[bool]) -> Result<(), SetupError> {
    let mut groups: BTreeMap<&str, Vec<OptionId>> = BTreeMap::new();
    for (at, option) in catalog.options() {
        if let Some(group) = &option.group {
            let seen = groups.entry(group).or_default();
            if fitted[at.index()] {
                seen.push(option.id.clone());
            }
        }
    }
    match groups.into_iter().find(|(_, fitted)| fitted.len() != 1) {
        Some((group, fitted)) => Err(SetupError::NotOneOf {
            group: group.to_owned(),
            fitted,
        }),
        None => Ok(()),
    }
}
