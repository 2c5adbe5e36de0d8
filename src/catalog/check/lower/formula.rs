//! Conditions, formulas, and the operations that services are ordered against.

use super::super::draft::{Atom, AtomPlace, ConditionPlace, OrderPlace, Owner, StepList};
use super::super::fault::FaultKind;
use super::super::path::Path;
use super::Lowering;
use crate::format::{self, AnswerId, OptionId, PartId, QuestionId};
use crate::model::{AnswerIx, Cond, Needs, OpIx, OptionIx, PartIx, QuestionIx, ServiceIx};
use lidoff_i18n::tr;

type SaidCond = format::Condition<OptionId, QuestionId, AnswerId>;
type SaidNeeds = format::Formula<PartId, SaidCond>;

impl Lowering<'_, '_> {
    /// The `when` of the thing at this place; always, where it has none.
    pub(super) fn when(
        &mut self,
        said: Option<&SaidCond>,
        at: &Path,
        under: &[Cond],
        governs: Option<(StepList, usize)>,
    ) -> Cond {
        let Some(said) = said else {
            return Cond::All(Vec::new());
        };
        self.placed(said, at.field("when"), under, governs)
    }

    fn placed(
        &mut self,
        said: &SaidCond,
        path: Path,
        under: &[Cond],
        governs: Option<(StepList, usize)>,
    ) -> Cond {
        let condition = self.condition(said, &path);
        self.conditions.push(ConditionPlace {
            path,
            condition: condition.clone(),
            under: under.to_vec(),
            governs,
        });
        condition
    }

    fn condition(&mut self, said: &SaidCond, at: &Path) -> Cond {
        match said {
            SaidCond::All(all) => {
                let list = at.field("all");
                let all = all.iter().enumerate();
                Cond::All(
                    all.map(|(nth, one)| self.condition(one, &list.nth(nth)))
                        .collect(),
                )
            }
            SaidCond::Any(any) => {
                let list = at.field("any");
                self.some_of(any, &list);
                let any = any.iter().enumerate();
                Cond::Any(
                    any.map(|(nth, one)| self.condition(one, &list.nth(nth)))
                        .collect(),
                )
            }
            SaidCond::Not(one) => Cond::Not(Box::new(self.condition(one, &at.field("not")))),
            SaidCond::Fitted(option) => {
                let at = at.field("fitted");
                let option = self.names.options.find(option.as_str(), &at, self.report);
                Cond::Fitted(OptionIx(option))
            }
            SaidCond::Answer { question, is } => {
                let at = at.field("answer");
                let asked = at.field("question");
                let found = self.names.questions.lookup(question.as_str());
                let answers = found.and_then(|nth| self.names.answers.get(usize::from(nth)));
                let is = match answers {
                    Some(answers) => answers.find(is.as_str(), &at.field("is"), self.report),
                    None => 0,
                };
                let question = self
                    .names
                    .questions
                    .find(question.as_str(), &asked, self.report);
                Cond::Answer {
                    question: QuestionIx(question),
                    is: AnswerIx(is),
                }
            }
        }
    }

    /// A formula.
    pub(super) fn needs(
        &mut self,
        said: &SaidNeeds,
        at: &Path,
        owner: Owner,
        under: &[Cond],
    ) -> Needs {
        match said {
            SaidNeeds::All(all) => Needs::All(self.needs_list(all, &at.field("all"), owner, under)),
            SaidNeeds::Any(any) => {
                let list = at.field("any");
                self.some_of(any, &list);
                Needs::Any(self.needs_list(any, &list, owner, under))
            }
            SaidNeeds::Eased(part) => {
                Needs::Eased(self.atom(part, Atom::Eased, at.field("eased"), owner))
            }
            SaidNeeds::Off(part) => Needs::Off(self.atom(part, Atom::Off, at.field("off"), owner)),
            SaidNeeds::Clear(part) => {
                Needs::Clear(self.atom(part, Atom::Clear, at.field("clear"), owner))
            }
            SaidNeeds::InPlace(part) => {
                Needs::InPlace(self.atom(part, Atom::InPlace, at.field("in-place"), owner))
            }
            SaidNeeds::When { condition, then } => {
                let at = at.field("when");
                let condition = self.placed(condition, at.field("condition"), under, None);
                let mut under = under.to_vec();
                under.push(condition.clone());
                Needs::When {
                    condition,
                    then: Box::new(self.needs(then, &at.field("then"), owner, &under)),
                }
            }
        }
    }

    fn needs_list(
        &mut self,
        list: &[SaidNeeds],
        at: &Path,
        owner: Owner,
        under: &[Cond],
    ) -> Vec<Needs> {
        let list = list.iter().enumerate();
        list.map(|(nth, one)| self.needs(one, &at.nth(nth), owner, under))
            .collect()
    }

    fn some_of<T>(&mut self, any: &[T], at: &Path) {
        if any.is_empty() {
            self.report.say(
                FaultKind::EmptyAny,
                at,
                tr!("An empty “any” is never true."),
                tr!("List the alternatives, or remove the “any”."),
            );
        }
    }

    fn atom(&mut self, part: &PartId, atom: Atom, path: Path, owner: Owner) -> PartIx {
        let about = self.part_ix(part, &path);
        self.atoms.push(AtomPlace {
            path,
            atom,
            about,
            owner,
        });
        about
    }

    /// What a service comes before, or after.
    pub(super) fn orders(
        &mut self,
        said: &[format::OrderAnchor],
        list: &Path,
        service: ServiceIx,
        before: bool,
    ) -> Vec<OpIx> {
        let mut found = Vec::new();
        for (nth, said) in said.iter().enumerate() {
            let at = list.nth(nth);
            let (path, other) = match said {
                format::OrderAnchor::TakeOff(part) => {
                    let at = at.field("take-off");
                    let part = self.part_ix(part, &at);
                    (at, OpIx::TakeOff(part))
                }
                format::OrderAnchor::PutBack(part) => {
                    let at = at.field("put-back");
                    let part = self.part_ix(part, &at);
                    (at, OpIx::PutBack(part))
                }
                format::OrderAnchor::Swap(part) => {
                    let at = at.field("swap");
                    let part = self.part_ix(part, &at);
                    (at, OpIx::Swap(part))
                }
                format::OrderAnchor::Service(service) => {
                    let at = at.field("service");
                    let service = self.service_ix(service, &at);
                    (at, OpIx::Service(service))
                }
            };
            self.orders.push(OrderPlace {
                path,
                service,
                other,
                before,
            });
            found.push(other);
        }
        found
    }
}
