//! The configurations that a unit can have: one option of each group, each free
//! option fitted or not, one answer to each question.
//!
//! Only the options and questions that the given conditions name are varied; the rest
//! has its usual value. Up to [`MOST`] configurations are tried one by one. Where
//! there are more, only the usual one and those that differ from it in at most two
//! values are tried, and [`Configurations::complete`] is false: what fails in one of
//! them is certainly a fault, but another fault may be missed.

use std::collections::BTreeSet;

use crate::format::Condition;
use crate::model::{Catalog, OptionIx, PartIx, QuestionIx, ResolvedCondition};
use lidoff_i18n::tr;

/// The most configurations that are tried.
pub(super) const MOST: usize = 1024;

/// What can vary from unit to unit.
pub(super) struct Variables {
    all: Vec<Variable>,
    /// The variable and value that say that an option is fitted.
    of_option: Vec<(usize, usize)>,
    /// The variable that says what a question is answered.
    of_question: Vec<usize>,
    /// The variable that says whether the job replaces a part, for parts that can be.
    of_part: Vec<Option<usize>>,
}

struct Variable {
    values: Vec<Value>,
    usual: usize,
}

/// A value of a variable, by its ids: made into text only for a fault.
enum Value {
    Fitted(String),
    NotFitted(String),
    Answered(String, String),
    Kept(String),
    Replaced(String),
}

/// One configuration of a unit: a value of each variable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct UnitConfiguration(Vec<usize>);

/// The configurations to try.
pub(super) struct Configurations {
    pub(super) all: Vec<UnitConfiguration>,
    /// Whether no other configuration can matter.
    pub(super) complete: bool,
}

impl Variables {
    pub(super) fn from_catalog(catalog: &Catalog) -> Self {
        let mut all: Vec<Variable> = Vec::new();
        let mut groups: Vec<(&str, usize)> = Vec::new();
        let mut of_option = Vec::new();
        for option in &catalog.options {
            let id = &option.id;
            let Some(group) = &option.group else {
                of_option.push((all.len(), 1));
                all.push(Variable {
                    values: vec![
                        Value::NotFitted(id.to_string()),
                        Value::Fitted(id.to_string()),
                    ],
                    usual: usize::from(option.usual),
                });
                continue;
            };
            let known = groups.iter().find(|(name, _)| name == group);
            let variable = known.map_or(all.len(), |(_, variable)| *variable);
            if variable == all.len() {
                groups.push((group, variable));
                all.push(Variable {
                    values: Vec::new(),
                    usual: 0,
                });
            }
            let group = &mut all[variable];
            if option.usual {
                group.usual = group.values.len();
            }
            of_option.push((variable, group.values.len()));
            group.values.push(Value::Fitted(id.to_string()));
        }
        let mut of_question = Vec::new();
        for question in &catalog.questions {
            let answers = question.answers.iter();
            let usual = answers.clone().position(|one| one.id == question.assumed);
            of_question.push(all.len());
            all.push(Variable {
                values: answers
                    .map(|answer| Value::Answered(question.id.to_string(), answer.id.to_string()))
                    .collect(),
                usual: usual.unwrap_or(0),
            });
        }
        let of_part = catalog.parts.iter().map(|part| {
            part.swap.as_ref()?;
            all.push(Variable {
                values: vec![
                    Value::Kept(part.id.to_string()),
                    Value::Replaced(part.id.to_string()),
                ],
                usual: 0,
            });
            Some(all.len() - 1)
        });
        let of_part = of_part.collect();
        Self {
            all,
            of_option,
            of_question,
            of_part,
        }
    }

    /// The variable of a part that can be replaced.
    fn replaced(&self, part: PartIx) -> Option<usize> {
        self.of_part.get(part.index()).copied().flatten()
    }

    fn fitted(&self, option: OptionIx) -> (usize, usize) {
        self.of_option[option.index()]
    }

    fn asked(&self, question: QuestionIx) -> usize {
        self.of_question[question.index()]
    }

    fn collect_variables(&self, condition: &ResolvedCondition, into: &mut BTreeSet<usize>) {
        match condition {
            Condition::All(list) | Condition::Any(list) => {
                for one in list {
                    self.collect_variables(one, into);
                }
            }
            Condition::Not(one) => self.collect_variables(one, into),
            Condition::Fitted(option) => {
                into.insert(self.fitted(*option).0);
            }
            Condition::Answer { question, .. } => {
                into.insert(self.asked(*question));
            }
            Condition::Replaced(part) => into.extend(self.replaced(*part)),
        }
    }

    /// Whether these conditions can hold together. If there are too many configurations to
    /// try, only conditions that are false for all options and answers count as impossible.
    pub(super) fn can_hold(&self, conditions: &[&ResolvedCondition]) -> bool {
        let configurations = Configurations::varying(self, conditions);
        configurations.any_holds(self, conditions)
            || !configurations.complete
                && conditions
                    .iter()
                    .all(|one| evaluate_unfitted(one) != Some(false))
    }
}

/// The value of a condition if options and answers are unknown.
pub(super) fn evaluate_unfitted(condition: &ResolvedCondition) -> Option<bool> {
    match condition {
        Condition::All(all) => all_of(all.iter().map(evaluate_unfitted)),
        Condition::Any(any) => {
            let none = all_of(any.iter().map(|one| evaluate_unfitted(one).map(|is| !is)));
            none.map(|none| !none)
        }
        Condition::Not(one) => evaluate_unfitted(one).map(|is| !is),
        Condition::Fitted(_) | Condition::Answer { .. } | Condition::Replaced(_) => None,
    }
}

fn all_of(list: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut all = Some(true);
    for one in list {
        match one {
            Some(true) => {}
            Some(false) => return Some(false),
            None => all = None,
        }
    }
    all
}

impl Configurations {
    /// The configurations that these conditions distinguish.
    pub(super) fn varying(variables: &Variables, conditions: &[&ResolvedCondition]) -> Self {
        let mut varied = BTreeSet::new();
        for condition in conditions {
            variables.collect_variables(condition, &mut varied);
        }
        let usual = UnitConfiguration(variables.all.iter().map(|one| one.usual).collect());
        let mut count: usize = 1;
        for variable in &varied {
            count = count.saturating_mul(variables.all[*variable].values.len().max(1));
        }
        let varied: Vec<usize> = varied.into_iter().collect();
        let complete = count <= MOST;
        let all = match complete {
            true => every_configuration(usual, &varied, variables),
            false => nearly_usual_configurations(usual, &varied, variables),
        };
        Self { all, complete }
    }

    /// Whether these conditions hold together in one of these configurations.
    pub(super) fn any_holds(
        &self,
        variables: &Variables,
        conditions: &[&ResolvedCondition],
    ) -> bool {
        self.all.iter().any(|configuration| {
            conditions
                .iter()
                .all(|condition| configuration.holds(variables, condition))
        })
    }
}

fn every_configuration(
    usual: UnitConfiguration,
    varied: &[usize],
    variables: &Variables,
) -> Vec<UnitConfiguration> {
    let mut all = vec![usual];
    for variable in varied {
        for nth in 0..all.len() {
            let others = all[nth].others(*variable, variables);
            all.extend(others);
        }
    }
    all
}

/// The usual configuration, then those that differ from it in one value, then in two; at
/// most [`MOST`].
fn nearly_usual_configurations(
    usual: UnitConfiguration,
    varied: &[usize],
    variables: &Variables,
) -> Vec<UnitConfiguration> {
    let mut all = vec![usual];
    let mut changed: Vec<(usize, UnitConfiguration)> = Vec::new();
    for (nth, variable) in varied.iter().enumerate() {
        let others = all[0].others(*variable, variables);
        changed.extend(others.into_iter().map(|configuration| (nth, configuration)));
    }
    all.extend(
        changed
            .iter()
            .map(|(_, configuration)| configuration.clone()),
    );
    for (nth, configuration) in &changed {
        for variable in varied.iter().skip(nth + 1) {
            if all.len() > MOST {
                break;
            }
            all.extend(configuration.others(*variable, variables));
        }
    }
    all.truncate(MOST);
    all
}

impl Value {
    fn describe(&self) -> String {
        match self {
            Self::Fitted(option) => tr!("{} fitted", option),
            Self::NotFitted(option) => tr!("{} not fitted", option),
            Self::Answered(question, answer) => tr!("{} answered “{}”", question, answer),
            Self::Kept(part) => tr!("{} not replaced", part),
            Self::Replaced(part) => tr!("{} replaced", part),
        }
    }
}

impl UnitConfiguration {
    /// This configuration with each other value of a variable that has its usual one.
    fn others(&self, variable: usize, variables: &Variables) -> Vec<Self> {
        let values = 0..variables.all[variable].values.len();
        let others = values.filter(|value| *value != self.0[variable]);
        others
            .map(|value| {
                let mut other = self.clone();
                other.0[variable] = value;
                other
            })
            .collect()
    }

    /// Whether a condition holds.
    pub(super) fn holds(&self, variables: &Variables, condition: &ResolvedCondition) -> bool {
        match condition {
            Condition::All(all) => all.iter().all(|one| self.holds(variables, one)),
            Condition::Any(any) => any.iter().any(|one| self.holds(variables, one)),
            Condition::Not(one) => !self.holds(variables, one),
            Condition::Fitted(option) => {
                let (variable, value) = variables.fitted(*option);
                self.0[variable] == value
            }
            Condition::Answer { question, is } => self.0[variables.asked(*question)] == is.index(),
            Condition::Replaced(part) => variables
                .replaced(*part)
                .is_some_and(|variable| self.0[variable] == 1),
        }
    }

    /// The number of values that differ from the usual ones.
    pub(super) fn differences(&self, variables: &Variables) -> usize {
        let values = self.0.iter().zip(&variables.all);
        values.filter(|(is, one)| **is != one.usual).count()
    }

    /// What is unusual about it: `wall-mount fitted and revision answered “b”`.
    pub(super) fn describe(&self, variables: &Variables) -> String {
        let values = self.0.iter().zip(&variables.all);
        let unusual: Vec<String> = values
            .filter(|(is, one)| **is != one.usual)
            .filter_map(|(is, one)| one.values.get(*is))
            .map(Value::describe)
            .collect();
        if unusual.is_empty() {
            return tr!("the unit with its usual options");
        }
        tr!("a unit with {}", unusual.join(&tr!(" and ")))
    }
}

#[cfg(test)]
mod tests {
    use super::{Configurations, MOST, UnitConfiguration, Value, Variables, evaluate_unfitted};
    use crate::format::Condition;
    use crate::model::{AnswerIx, OptionIx, QuestionIx, ResolvedCondition};

    /// This many free options, not usual; a group of three; a question of two.
    fn variables(free: usize) -> Variables {
        let variable = |count: usize| super::Variable {
            values: (0..count)
                .map(|value| Value::Fitted(value.to_string()))
                .collect(),
            usual: 0,
        };
        let mut all: Vec<_> = (0..free).map(|_| variable(2)).collect();
        all.push(variable(3));
        all.push(variable(2));
        let mut of_option: Vec<_> = (0..free).map(|nth| (nth, 1)).collect();
        of_option.extend([(free, 0), (free, 1), (free, 2)]);
        Variables {
            all,
            of_option,
            of_question: vec![free + 1],
            of_part: Vec::new(),
        }
    }

    fn fitted(options: std::ops::Range<u16>) -> Vec<ResolvedCondition> {
        options
            .map(|nth| ResolvedCondition::Fitted(OptionIx(nth)))
            .collect()
    }

    #[test]
    fn every_configuration_of_the_options_in_use_is_tried_once() {
        let variables = variables(2);
        let mut used = fitted(0..4);
        used.push(ResolvedCondition::Answer {
            question: QuestionIx(0),
            is: AnswerIx(1),
        });
        let configurations = Configurations::varying(&variables, &[&ResolvedCondition::All(used)]);
        assert!(configurations.complete);
        assert_eq!(configurations.all.len(), 2 * 2 * 3 * 2);
        for (nth, configuration) in configurations.all.iter().enumerate() {
            assert!(!configurations.all[..nth].contains(configuration));
        }
    }

    #[test]
    fn two_options_of_one_group_are_never_fitted_together() {
        let variables = variables(0);
        let both = ResolvedCondition::All(fitted(0..2));
        assert!(!variables.can_hold(&[&both]));
        assert!(variables.can_hold(&[&ResolvedCondition::Any(fitted(0..2))]));
    }

    #[test]
    fn past_the_limit_only_nearly_usual_configurations_are_tried() {
        let variables = variables(12);
        let any = ResolvedCondition::Any(fitted(0..12));
        let configurations = Configurations::varying(&variables, &[&any]);
        assert!(!configurations.complete);
        let far = |configuration: &UnitConfiguration| configuration.differences(&variables);
        assert_eq!(configurations.all.iter().map(far).max(), Some(2));
        assert_eq!(configurations.all.len(), 1 + 12 + 12 * 11 / 2);
        assert!(configurations.all.len() <= MOST);
        // All twelve together is in none of them, and yet not called impossible.
        assert!(variables.can_hold(&[&ResolvedCondition::All(fitted(0..12))]));
    }

    #[test]
    fn some_conditions_are_known_without_any_options() {
        let open = || ResolvedCondition::Fitted(OptionIx(0));
        let never = || Condition::Any(Vec::new());
        assert_eq!(evaluate_unfitted(&open()), None);
        assert_eq!(
            evaluate_unfitted(&ResolvedCondition::Any(vec![open(), never()])),
            None
        );
        assert_eq!(
            evaluate_unfitted(&ResolvedCondition::All(vec![open(), never()])),
            Some(false)
        );
        assert_eq!(
            evaluate_unfitted(&ResolvedCondition::Not(Box::new(never()))),
            Some(true)
        );
    }
}
