//! Every fastener that is undone is done up again, and every cable that is unplugged is
//! plugged in again, on every unit.
//!
//! Each leg balances on its own, out and back, because a part may be eased and go no
//! further. So do make-safe, prove and hand-over together, a swap with its hand-backs,
//! and every other list of steps. Conditions count: in each configuration in which a
//! fastener is undone, it must be done up.

use std::collections::BTreeMap;

use super::configurations::{Configurations, UnitConfiguration, Variables};
use super::draft::{Draft, StepList};
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::model::{Catalog, ConnectionIx, FasteningIx, Leg, ResolvedCondition, Step, StepIx};
use lidoff_i18n::{localize_static, tr, tr_noop};

pub(super) fn check(draft: &Draft, variables: &Variables, report: &mut Report) {
    check_things::<FasteningIx>(draft, variables, report);
    check_things::<ConnectionIx>(draft, variables, report);
    for (fastening, at) in draft.catalog.fastenings().zip(&draft.fastenings) {
        let undone = |step: &Step| step.undo.contains(&fastening.0);
        if !draft.catalog.steps.iter().any(undone) {
            report.add(
                FaultKind::NeverUndone,
                at,
                tr!("No step undoes this fastening."),
                tr!(
                    "List it under “undo” in the step that undoes it, or remove the \
                     fastening."
                ),
            );
        }
    }
    for (connection, at) in draft.catalog.connections().zip(&draft.connections) {
        let parted = |step: &Step| step.unplug.contains(&connection.0);
        if !draft.catalog.steps.iter().any(parted) {
            report.add(
                FaultKind::Unused,
                at,
                tr!("No step unplugs this cable."),
                tr!(
                    "List it under “unplug” in the step that unplugs it, or remove the \
                     connection."
                ),
            );
        }
    }
}

/// Something that steps take apart and put together.
trait Fastened: Copy + Ord {
    const KIND: EntryKind;
    const UNDO: &'static str;
    const REDO: &'static str;
    /// “undone”, “unplugged”.
    const UNDONE: &'static str;
    const REDONE: &'static str;

    fn undone(step: &Step) -> &[Self];
    fn redone(step: &Step) -> &[Self];
    fn id(self, catalog: &Catalog) -> &str;
    fn there(self, catalog: &Catalog) -> Option<&ResolvedCondition>;
}

impl Fastened for FasteningIx {
    const KIND: EntryKind = EntryKind::Fastening;
    const UNDO: &'static str = "undo";
    const REDO: &'static str = "redo";
    const UNDONE: &'static str = tr_noop!("undone");
    const REDONE: &'static str = tr_noop!("done up");

    fn undone(step: &Step) -> &[Self] {
        &step.undo
    }

    fn redone(step: &Step) -> &[Self] {
        &step.redo
    }

    fn id(self, catalog: &Catalog) -> &str {
        catalog.fastening(self).entry.id.as_str()
    }

    fn there(self, catalog: &Catalog) -> Option<&ResolvedCondition> {
        Some(&catalog.fastening(self).when)
    }
}

impl Fastened for ConnectionIx {
    const KIND: EntryKind = EntryKind::Cable;
    const UNDO: &'static str = "unplug";
    const REDO: &'static str = "plug";
    const UNDONE: &'static str = tr_noop!("unplugged");
    const REDONE: &'static str = tr_noop!("plugged");

    fn undone(step: &Step) -> &[Self] {
        &step.unplug
    }

    fn redone(step: &Step) -> &[Self] {
        &step.plug
    }

    fn id(self, catalog: &Catalog) -> &str {
        catalog.connection(self).id.as_str()
    }

    fn there(self, _: &Catalog) -> Option<&ResolvedCondition> {
        None
    }
}

fn check_things<T: Fastened>(draft: &Draft, variables: &Variables, report: &mut Report) {
    let balance = Balance { draft, variables };
    for part in &draft.catalog.parts {
        for leg in part.legs() {
            balance.check_each::<T>(&steps_out_and_back(leg), report);
        }
        if let (Some(ease), Some(take_off)) = (&part.ease, &part.take_off) {
            balance.check_undone_once::<T>(ease, take_off, report);
        }
    }
    for steps in other_runs(draft) {
        balance.check_each::<T>(&steps, report);
    }
}

/// Lists of steps, other than legs, that are always done together: the fixed steps of the
/// job; a swap with its hand-backs; and each other list by itself.
fn other_runs(draft: &Draft) -> Vec<Vec<StepIx>> {
    let together = |list| match list {
        StepList::Leg(..) => None,
        StepList::Start | StepList::Prove | StepList::HandOver => Some(StepList::MakeSafe),
        StepList::HandBack(part, _) => Some(StepList::Swap(part)),
        list => Some(list),
    };
    let mut runs: BTreeMap<StepList, Vec<StepIx>> = BTreeMap::new();
    for ((ix, _), place) in draft.catalog.steps().zip(&draft.steps) {
        if let Some(run) = together(place.list) {
            runs.entry(run).or_default().push(ix);
        }
    }
    runs.into_values().collect()
}

fn steps_out_and_back(leg: &Leg) -> Vec<StepIx> {
    leg.out.iter().chain(&leg.back).copied().collect()
}

/// What is out of balance with one fastening or connection.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Imbalance {
    LeftUndone(StepIx),
    DoneUpOnly(StepIx),
    UndoneTwice(StepIx),
}

struct Balance<'d> {
    draft: &'d Draft,
    variables: &'d Variables,
}

impl Balance<'_> {
    /// Walks a list of steps with each fastening or connection that it undoes or does up.
    fn check_each<T: Fastened>(&self, steps: &[StepIx], report: &mut Report) {
        for what in named::<T>(&self.draft.catalog, steps) {
            let Some((imbalance, configuration)) = self.first_imbalance(what, steps) else {
                continue;
            };
            self.report(what, imbalance, &configuration, steps, report);
        }
    }

    /// Checks that nothing undone when a part is eased is undone again when it is taken
    /// off.
    fn check_undone_once<T: Fastened>(&self, ease: &Leg, take_off: &Leg, report: &mut Report) {
        let catalog = &self.draft.catalog;
        let eased = named::<T>(catalog, &ease.out);
        let off = named::<T>(catalog, &take_off.out);
        let steps: Vec<StepIx> = ease.out.iter().chain(&take_off.out).copied().collect();
        for what in off.into_iter().filter(|what| eased.contains(what)) {
            if let Some((imbalance @ Imbalance::UndoneTwice(_), configuration)) =
                self.first_imbalance(what, &steps)
            {
                self.report(what, imbalance, &configuration, &steps, report);
            }
        }
    }

    /// The configuration nearest to the usual one that is out of balance.
    fn first_imbalance<T: Fastened>(
        &self,
        what: T,
        steps: &[StepIx],
    ) -> Option<(Imbalance, UnitConfiguration)> {
        let configurations = Configurations::varying(self.variables, &self.conditions(what, steps));
        let imbalance = configurations.all.into_iter().filter_map(|configuration| {
            let imbalance = self.walk(what, steps, &configuration)?;
            Some((imbalance, configuration))
        });
        imbalance.min_by_key(|(_, configuration)| configuration.differences(self.variables))
    }

    fn conditions<T: Fastened>(&self, what: T, steps: &[StepIx]) -> Vec<&ResolvedCondition> {
        let catalog = &self.draft.catalog;
        let mut conditions: Vec<&ResolvedCondition> = what.there(catalog).into_iter().collect();
        for ix in steps {
            let step = catalog.step(*ix);
            if T::undone(step).contains(&what) || T::redone(step).contains(&what) {
                conditions.push(&step.when);
                conditions.extend(&self.draft.steps[ix.index()].under);
            }
        }
        conditions
    }

    fn walk<T: Fastened>(
        &self,
        what: T,
        steps: &[StepIx],
        configuration: &UnitConfiguration,
    ) -> Option<Imbalance> {
        let catalog = &self.draft.catalog;
        let holds = |condition: &ResolvedCondition| configuration.holds(self.variables, condition);
        if !what.there(catalog).is_none_or(holds) {
            return None;
        }
        let mut undone: Option<StepIx> = None;
        for ix in steps {
            let step = catalog.step(*ix);
            let under = &self.draft.steps[ix.index()].under;
            if !holds(&step.when) || !under.iter().all(holds) {
                continue;
            }
            for _ in T::undone(step).iter().filter(|one| **one == what) {
                if undone.replace(*ix).is_some() {
                    return Some(Imbalance::UndoneTwice(*ix));
                }
            }
            for _ in T::redone(step).iter().filter(|one| **one == what) {
                if undone.take().is_none() {
                    return Some(Imbalance::DoneUpOnly(*ix));
                }
            }
        }
        undone.map(Imbalance::LeftUndone)
    }

    fn report<T: Fastened>(
        &self,
        what: T,
        imbalance: Imbalance,
        configuration: &UnitConfiguration,
        steps: &[StepIx],
        report: &mut Report,
    ) {
        let id = what.id(&self.draft.catalog);
        let sort = T::KIND;
        let (done, up) = (localize_static(T::UNDONE), localize_static(T::REDONE));
        let on = match self.conditions(what, steps).iter().all(|one| always(one)) {
            true => String::new(),
            false => tr!(" on {}", configuration.describe(self.variables)),
        };
        match imbalance {
            Imbalance::LeftUndone(step) => report.add(
                FaultKind::LeftUndone,
                &self.at(what, T::undone, step, T::UNDO),
                tr!(
                    "The {sort} “{id}” is {done} here and never {up} again{on}.",
                    sort,
                    id,
                    done,
                    up,
                    on
                ),
                tr!("List it under “{}” in a step on the way back.", T::REDO),
            ),
            Imbalance::DoneUpOnly(step) => report.add(
                FaultKind::DoneUpOnly,
                &self.at(what, T::redone, step, T::REDO),
                tr!(
                    "The {sort} “{id}” is {up} here and was not {done} before{on}.",
                    sort,
                    id,
                    done,
                    up,
                    on
                ),
                tr!(
                    "List it under “{}” in an earlier step on the same way out.",
                    T::UNDO
                ),
            ),
            Imbalance::UndoneTwice(step) => report.add(
                FaultKind::UndoneTwice,
                &self.at(what, T::undone, step, T::UNDO),
                tr!(
                    "The {sort} “{id}” is {done} here, and was {done} already{on}.",
                    sort,
                    id,
                    done,
                    on
                ),
                tr!("List it under “{}” in one step only.", T::UNDO),
            ),
        }
    }

    fn at<T: Fastened>(&self, what: T, list: fn(&Step) -> &[T], step: StepIx, field: &str) -> Path {
        let path = self.draft.steps[step.index()].path.field(field);
        let list = list(self.draft.catalog.step(step));
        match list.iter().position(|one| *one == what) {
            Some(nth) => path.nth(nth),
            None => path,
        }
    }
}

/// What these steps undo or do up, in file order.
fn named<T: Fastened>(catalog: &Catalog, steps: &[StepIx]) -> Vec<T> {
    let steps = steps.iter().map(|ix| catalog.step(*ix));
    let mut named: Vec<T> = steps
        .flat_map(|step| T::undone(step).iter().chain(T::redone(step)))
        .copied()
        .collect();
    crate::insertion_sort(&mut named, |one, next| one > next);
    named.dedup();
    named
}

fn always(condition: &ResolvedCondition) -> bool {
    *condition == ResolvedCondition::All(Vec::new())
}
