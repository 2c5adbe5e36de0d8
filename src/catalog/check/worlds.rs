//! Every way in which a unit can be fitted and found: one option of each group,
//! each free option there or not, one answer to each question.
//!
//! Only what the conditions at hand speak of is varied; the rest stays as it
//! usually is. Up to [`MOST`] ways are gone through one by one. Where there are
//! more, only the usual one and those that differ from it in at most two things
//! are, and [`Worlds::complete`] says so: what fails in one of them is a fault
//! for certain, but a fault in none of them may still be missed.

use std::collections::BTreeSet;

use crate::format::Condition;
use crate::model::{Catalog, Cond, OptionIx, QuestionIx};
use lidoff_i18n::tr;

/// Most ways that are gone through.
pub(super) const MOST: usize = 1024;

/// What can differ from unit to unit.
pub(super) struct Variables {
    all: Vec<Variable>,
    /// The variable and value that say that an option is fitted.
    of_option: Vec<(usize, usize)>,
    /// The variable that says what a question is answered.
    of_question: Vec<usize>,
}

struct Variable {
    values: Vec<Value>,
    usual: usize,
}

/// What one thing can be, by its ids: put into words only where it is told.
enum Value {
    Fitted(String),
    NotFitted(String),
    Answered(String, String),
}

/// One way in which a unit can be fitted and found: a value of each variable.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct World(Vec<usize>);

/// The ways at hand.
pub(super) struct Worlds {
    pub(super) all: Vec<World>,
    /// Whether these are all that matter.
    pub(super) complete: bool,
}

impl Variables {
    pub(super) fn of(catalog: &Catalog) -> Self {
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
        Self {
            all,
            of_option,
            of_question,
        }
    }

    fn fitted(&self, option: OptionIx) -> (usize, usize) {
        self.of_option[option.index()]
    }

    fn asked(&self, question: QuestionIx) -> usize {
        self.of_question[question.index()]
    }

    fn spoken_of(&self, condition: &Cond, into: &mut BTreeSet<usize>) {
        match condition {
            Condition::All(list) | Condition::Any(list) => {
                for one in list {
                    self.spoken_of(one, into);
                }
            }
            Condition::Not(one) => self.spoken_of(one, into),
            Condition::Fitted(option) => {
                into.insert(self.fitted(*option).0);
            }
            Condition::Answer { question, .. } => {
                into.insert(self.asked(*question));
            }
        }
    }

    /// Whether these conditions can hold together. Where there are too many ways
    /// to try, only what is false whatever the options and answers is said not to.
    pub(super) fn can_hold(&self, conditions: &[&Cond]) -> bool {
        let worlds = Worlds::over(self, conditions);
        worlds.any_holds(self, conditions)
            || !worlds.complete
                && conditions
                    .iter()
                    .all(|one| whatever_is_fitted(one) != Some(false))
    }
}

/// What a condition comes to when nothing is known of options and answers.
pub(super) fn whatever_is_fitted(condition: &Cond) -> Option<bool> {
    match condition {
        Condition::All(all) => all_of(all.iter().map(whatever_is_fitted)),
        Condition::Any(any) => {
            let none = all_of(any.iter().map(|one| whatever_is_fitted(one).map(|is| !is)));
            none.map(|none| !none)
        }
        Condition::Not(one) => whatever_is_fitted(one).map(|is| !is),
        Condition::Fitted(_) | Condition::Answer { .. } => None,
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

impl Worlds {
    /// The ways that these conditions tell apart.
    pub(super) fn over(variables: &Variables, conditions: &[&Cond]) -> Self {
        let mut varied = BTreeSet::new();
        for condition in conditions {
            variables.spoken_of(condition, &mut varied);
        }
        let usual = World(variables.all.iter().map(|one| one.usual).collect());
        let mut count: usize = 1;
        for variable in &varied {
            count = count.saturating_mul(variables.all[*variable].values.len().max(1));
        }
        let varied: Vec<usize> = varied.into_iter().collect();
        let complete = count <= MOST;
        let all = match complete {
            true => every(usual, &varied, variables),
            false => nearly_usual(usual, &varied, variables),
        };
        Self { all, complete }
    }

    /// Whether these conditions hold together in one of these ways.
    pub(super) fn any_holds(&self, variables: &Variables, conditions: &[&Cond]) -> bool {
        self.all.iter().any(|world| {
            conditions
                .iter()
                .all(|condition| world.holds(variables, condition))
        })
    }
}

fn every(usual: World, varied: &[usize], variables: &Variables) -> Vec<World> {
    let mut all = vec![usual];
    for variable in varied {
        for nth in 0..all.len() {
            let others = all[nth].others(*variable, variables);
            all.extend(others);
        }
    }
    all
}

/// The usual world, those that differ from it in one thing, those that differ in
/// two; no more than [`MOST`].
fn nearly_usual(usual: World, varied: &[usize], variables: &Variables) -> Vec<World> {
    let mut all = vec![usual];
    let mut changed: Vec<(usize, World)> = Vec::new();
    for (nth, variable) in varied.iter().enumerate() {
        let others = all[0].others(*variable, variables);
        changed.extend(others.into_iter().map(|world| (nth, world)));
    }
    all.extend(changed.iter().map(|(_, world)| world.clone()));
    for (nth, world) in &changed {
        for variable in varied.iter().skip(nth + 1) {
            if all.len() > MOST {
                break;
            }
            all.extend(world.others(*variable, variables));
        }
    }
    all.truncate(MOST);
    all
}

impl Value {
    fn said(&self) -> String {
        match self {
            Self::Fitted(option) => tr!("{} fitted", option),
            Self::NotFitted(option) => tr!("{} not fitted", option),
            Self::Answered(question, answer) => tr!("{} answered “{}”", question, answer),
        }
    }
}

impl World {
    /// This world with each other value of a variable that has its usual one.
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
    pub(super) fn holds(&self, variables: &Variables, condition: &Cond) -> bool {
        match condition {
            Condition::All(all) => all.iter().all(|one| self.holds(variables, one)),
            Condition::Any(any) => any.iter().any(|one| self.holds(variables, one)),
            Condition::Not(one) => !self.holds(variables, one),
            Condition::Fitted(option) => {
                let (variable, value) = variables.fitted(*option);
                self.0[variable] == value
            }
            Condition::Answer { question, is } => self.0[variables.asked(*question)] == is.index(),
        }
    }

    /// In how many things it differs from the usual.
    pub(super) fn differences(&self, variables: &Variables) -> usize {
        let values = self.0.iter().zip(&variables.all);
        values.filter(|(is, one)| **is != one.usual).count()
    }

    /// What is unusual about it: `wall-mount fitted and revision answered “b”`.
    pub(super) fn said(&self, variables: &Variables) -> String {
        let values = self.0.iter().zip(&variables.all);
        let unusual: Vec<String> = values
            .filter(|(is, one)| **is != one.usual)
            .filter_map(|(is, one)| one.values.get(*is))
            .map(Value::said)
            .collect();
        if unusual.is_empty() {
            return tr!("the unit with its usual options");
        }
        tr!("a unit with {}", unusual.join(&tr!(" and ")))
    }
}

#[cfg(test)]
mod tests {
    use super::{MOST, Value, Variables, World, Worlds, whatever_is_fitted};
    use crate::format::Condition;
    use crate::model::{AnswerIx, Cond, OptionIx, QuestionIx};

    /// So many free options, not usual; a group of three; a question of two.
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
        }
    }

    fn fitted(options: std::ops::Range<u16>) -> Vec<Cond> {
        options.map(|nth| Cond::Fitted(OptionIx(nth))).collect()
    }

    #[test]
    fn every_way_to_fit_what_is_spoken_of_is_gone_through_once() {
        let variables = variables(2);
        let mut spoken = fitted(0..4);
        spoken.push(Cond::Answer {
            question: QuestionIx(0),
            is: AnswerIx(1),
        });
        let worlds = Worlds::over(&variables, &[&Cond::All(spoken)]);
        assert!(worlds.complete);
        assert_eq!(worlds.all.len(), 2 * 2 * 3 * 2);
        for (nth, world) in worlds.all.iter().enumerate() {
            assert!(!worlds.all[..nth].contains(world));
        }
    }

    #[test]
    fn two_options_of_one_group_are_never_fitted_together() {
        let variables = variables(0);
        let both = Cond::All(fitted(0..2));
        assert!(!variables.can_hold(&[&both]));
        assert!(variables.can_hold(&[&Cond::Any(fitted(0..2))]));
    }

    #[test]
    fn past_the_limit_only_what_is_nearly_usual_is_gone_through() {
        let variables = variables(12);
        let any = Cond::Any(fitted(0..12));
        let worlds = Worlds::over(&variables, &[&any]);
        assert!(!worlds.complete);
        let far = |world: &World| world.differences(&variables);
        assert_eq!(worlds.all.iter().map(far).max(), Some(2));
        assert_eq!(worlds.all.len(), 1 + 12 + 12 * 11 / 2);
        assert!(worlds.all.len() <= MOST);
        // All twelve together is in none of them, and yet not called impossible.
        assert!(variables.can_hold(&[&Cond::All(fitted(0..12))]));
    }

    #[test]
    fn some_conditions_need_no_options_to_be_judged() {
        let open = || Cond::Fitted(OptionIx(0));
        let never = || Condition::Any(Vec::new());
        assert_eq!(whatever_is_fitted(&open()), None);
        assert_eq!(whatever_is_fitted(&Cond::Any(vec![open(), never()])), None);
        assert_eq!(
            whatever_is_fitted(&Cond::All(vec![open(), never()])),
            Some(false)
        );
        assert_eq!(
            whatever_is_fitted(&Cond::Not(Box::new(never()))),
            Some(true)
        );
    }
}
