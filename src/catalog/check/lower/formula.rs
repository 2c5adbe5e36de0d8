//! Conditions, formulas, and the operations that services are ordered against.

use super::lowering::Lowering;
use crate::check::draft::{Atom, AtomPlace, ConditionPlace, FormulaOwner, OrderPlace, StepList};
use crate::check::fault::FaultKind;
use crate::check::path::Path;
use crate::format::{self, ConditionEntry, FormulaEntry, PartId};
use crate::model::{
    AnswerIx, OpIx, OptionIx, PartIx, QuestionIx, ResolvedCondition, ResolvedFormula, ServiceIx,
};
use lidoff_i18n::tr;

impl Lowering<'_, '_> {
    /// The `when` of the entry at this position; always true if it has none.
    pub(super) fn when(
        &mut self,
        entry: Option<&ConditionEntry>,
        at: &Path,
        under: &[ResolvedCondition],
        governs: Option<(StepList, usize)>,
    ) -> ResolvedCondition {
        let Some(entry) = entry else {
            return ResolvedCondition::All(Vec::new());
        };
        self.placed(entry, at.field("when"), under, governs)
    }

    fn placed(
        &mut self,
        entry: &ConditionEntry,
        path: Path,
        under: &[ResolvedCondition],
        governs: Option<(StepList, usize)>,
    ) -> ResolvedCondition {
        let condition = self.condition(entry, &path);
        self.conditions.push(ConditionPlace {
            path,
            condition: condition.clone(),
            under: under.to_vec(),
            governs,
        });
        condition
    }

    fn condition(&mut self, entry: &ConditionEntry, at: &Path) -> ResolvedCondition {
        match entry {
            ConditionEntry::All(all) => {
                let list = at.field("all");
                let all = all.iter().enumerate();
                ResolvedCondition::All(
                    all.map(|(nth, one)| self.condition(one, &list.nth(nth)))
                        .collect(),
                )
            }
            ConditionEntry::Any(any) => {
                let list = at.field("any");
                self.some_of(any, &list);
                let any = any.iter().enumerate();
                ResolvedCondition::Any(
                    any.map(|(nth, one)| self.condition(one, &list.nth(nth)))
                        .collect(),
                )
            }
            ConditionEntry::Not(one) => {
                ResolvedCondition::Not(Box::new(self.condition(one, &at.field("not"))))
            }
            ConditionEntry::Fitted(option) => {
                let at = at.field("fitted");
                let option = self.names.options.find(option.as_str(), &at, self.report);
                ResolvedCondition::Fitted(OptionIx(option))
            }
            ConditionEntry::Replaced(part) => {
                ResolvedCondition::Replaced(self.part_ix(part, &at.field("replaced")))
            }
            ConditionEntry::Answer { question, is } => {
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
                ResolvedCondition::Answer {
                    question: QuestionIx(question),
                    is: AnswerIx(is),
                }
            }
        }
    }

    /// A formula.
    pub(super) fn needs(
        &mut self,
        entry: &FormulaEntry,
        at: &Path,
        owner: FormulaOwner,
        under: &[ResolvedCondition],
    ) -> ResolvedFormula {
        match entry {
            FormulaEntry::All(all) => {
                ResolvedFormula::All(self.needs_list(all, &at.field("all"), owner, under))
            }
            FormulaEntry::Any(any) => {
                let list = at.field("any");
                self.some_of(any, &list);
                ResolvedFormula::Any(self.needs_list(any, &list, owner, under))
            }
            FormulaEntry::Eased(part) => {
                ResolvedFormula::Eased(self.atom(part, Atom::Eased, at.field("eased"), owner))
            }
            FormulaEntry::Off(part) => {
                ResolvedFormula::Off(self.atom(part, Atom::Off, at.field("off"), owner))
            }
            FormulaEntry::Clear(part) => {
                ResolvedFormula::Clear(self.atom(part, Atom::Clear, at.field("clear"), owner))
            }
            FormulaEntry::InPlace(part) => ResolvedFormula::InPlace(self.atom(
                part,
                Atom::InPlace,
                at.field("in-place"),
                owner,
            )),
            FormulaEntry::Closed => ResolvedFormula::Closed,
            FormulaEntry::When { condition, then } => {
                let at = at.field("when");
                let condition = self.placed(condition, at.field("condition"), under, None);
                let mut under = under.to_vec();
                under.push(condition.clone());
                ResolvedFormula::When {
                    condition,
                    then: Box::new(self.needs(then, &at.field("then"), owner, &under)),
                }
            }
        }
    }

    fn needs_list(
        &mut self,
        list: &[FormulaEntry],
        at: &Path,
        owner: FormulaOwner,
        under: &[ResolvedCondition],
    ) -> Vec<ResolvedFormula> {
        let list = list.iter().enumerate();
        list.map(|(nth, one)| self.needs(one, &at.nth(nth), owner, under))
            .collect()
    }

    fn some_of<T>(&mut self, any: &[T], at: &Path) {
        if any.is_empty() {
            self.report.add(
                FaultKind::EmptyAny,
                at,
                tr!("An empty “any” is never true."),
                tr!("List the alternatives, or remove the “any”."),
            );
        }
    }

    fn atom(&mut self, part: &PartId, atom: Atom, path: Path, owner: FormulaOwner) -> PartIx {
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
        entry: &[format::OrderAnchor],
        list: &Path,
        service: ServiceIx,
        before: bool,
    ) -> Vec<OpIx> {
        let mut found = Vec::new();
        for (nth, entry) in entry.iter().enumerate() {
            let at = list.nth(nth);
            let (path, other) = match entry {
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
