//! Faults for legs that are never reached: one for each circle, with all legs blocked
//! by it.

use std::collections::BTreeMap;

use super::routes::{Barrier, Chain, Mode, Node};
use super::stuck::Stuck;
use crate::check::configurations::{UnitConfiguration, Variables};
use crate::check::draft::{Atom, Draft, LegName};
use crate::check::fault::{FaultKind, Report};
use crate::check::parts::{carriers, id};
use crate::model::{Catalog, PartIx};
use lidoff_i18n::{localize_static, tr, tr_noop};

/// The stuck legs in all configurations.
pub(super) struct StuckLegs<'d> {
    draft: &'d Draft,
    /// Records in how many configurations a part exists.
    there: Vec<usize>,
    legs: BTreeMap<(Mode, Node), StuckLeg>,
    certain: bool,
}

/// One stuck leg.
struct StuckLeg {
    /// On how many ways it is stuck.
    stuck: usize,
    /// Stuck whatever is fitted.
    always: bool,
    /// Why, on the most usual of these ways.
    why: (Option<UnitConfiguration>, Chain),
}

impl<'d> StuckLegs<'d> {
    pub(super) fn new(draft: &'d Draft) -> Self {
        Self {
            draft,
            there: vec![0; draft.catalog.parts.len()],
            legs: BTreeMap::new(),
            certain: true,
        }
    }

    /// On how many ways a part is there.
    pub(super) fn there(&mut self, part: PartIx, ways: usize) {
        self.there[part.index()] = ways;
    }

    /// Not all configurations were tried.
    pub(super) fn none_is_certain(&mut self) {
        self.certain = false;
    }

    /// Adds a leg that is stuck in this configuration, or whatever the configuration.
    pub(super) fn add(
        &mut self,
        stuck: Stuck,
        configuration: Option<&UnitConfiguration>,
        variables: &Variables,
    ) {
        let unusual = |configuration: &Option<UnitConfiguration>| {
            configuration
                .as_ref()
                .map_or(0, |configuration| configuration.differences(variables))
        };
        let configuration = configuration.cloned();
        let leg = self
            .legs
            .entry((stuck.mode, stuck.node))
            .or_insert(StuckLeg {
                stuck: 0,
                always: false,
                why: (configuration.clone(), stuck.chain.clone()),
            });
        leg.stuck += 1;
        leg.always |= configuration.is_none();
        if unusual(&configuration) < unusual(&leg.why.0) {
            leg.why = (configuration, stuck.chain);
        }
    }

    pub(super) fn report(self, variables: &Variables, report: &mut Report) {
        let mut causes: BTreeMap<(Mode, Vec<Node>), Cause> = BTreeMap::new();
        for ((mode, node), leg) in &self.legs {
            let never = match self.certain {
                true => leg.stuck == self.there[node.part.index()],
                false => leg.always,
            };
            let (configuration, chain) = &leg.why;
            if is_reported_elsewhere(&self.draft.catalog, chain) {
                continue;
            }
            let links = root(chain);
            let mut key: Vec<Node> = links.iter().map(|(node, _)| *node).collect();
            crate::insertion_sort(&mut key, |one, next| one > next);
            let cause = causes.entry((*mode, key)).or_insert_with(|| Cause {
                never,
                configuration: configuration.as_ref(),
                links,
                behind: Vec::new(),
            });
            cause.never |= never;
            if !links.iter().any(|(one, _)| one.part == node.part)
                && !cause.behind.contains(&node.part)
            {
                cause.behind.push(node.part);
            }
        }
        for ((mode, _), cause) in causes {
            cause.report(mode, self.draft, variables, report);
        }
    }
}

/// The root of a chain: the circle, or the last link.
fn root(chain: &Chain) -> &[(Node, Barrier)] {
    let last = chain.links.len().saturating_sub(1);
    &chain.links[chain.circle.unwrap_or(last)..]
}

/// Whether other checks report this at the same atom: a part that waits for itself, or for
/// one that never reaches the required state.
fn is_reported_elsewhere(catalog: &Catalog, chain: &Chain) -> bool {
    let Some((node, barrier)) = root(chain).last() else {
        return true;
    };
    if chain.circle.is_some() {
        return root(chain).iter().all(|(one, _)| one.part == node.part);
    }
    let Barrier::Part(about, atom) = *barrier else {
        return *barrier == Barrier::Nothing;
    };
    let part = catalog.part(about);
    let comes_off = part.take_off.is_some() || part.bench_off.is_some();
    let stands = node.leg != LegName::BenchOff && carriers(catalog, node.part).contains(&about);
    about == node.part
        || stands
        || match atom {
            Atom::Eased => part.ease.is_none(),
            Atom::Off => !comes_off && part.rides_on.is_none(),
            Atom::Clear => !comes_off,
            Atom::InPlace => false,
        }
}

/// One circle, with the legs blocked by it.
struct Cause<'f> {
    never: bool,
    configuration: Option<&'f UnitConfiguration>,
    links: &'f [(Node, Barrier)],
    behind: Vec<PartIx>,
}

impl Cause<'_> {
    fn report(self, mode: Mode, draft: &Draft, variables: &Variables, report: &mut Report) {
        let Some((first, _)) = self.links.iter().min_by_key(|(node, _)| *node) else {
            return;
        };
        let turn = self.links.iter().position(|(node, _)| node == first);
        let (before, after) = self.links.split_at(turn.unwrap_or(0));
        let links = after.iter().chain(before);
        let chain: Vec<String> = links
            .map(|(node, barrier)| link(&draft.catalog, *node, *barrier))
            .collect();
        let mut what = match mode {
            Mode::Out => tr!("This can never be done: {}.", chain.join(" → ")),
            Mode::Back | Mode::Held => tr!(
                "What is opened here can never be closed: {}.",
                chain.join(" → ")
            ),
        };
        if let (false, Some(configuration)) = (self.never, self.configuration) {
            what.push_str(&tr!(
                " This applies to {}.",
                configuration.describe(variables)
            ));
        }
        if !self.behind.is_empty() {
            let behind = self.behind.iter().map(|part| id(&draft.catalog, *part));
            let behind: Vec<&str> = behind.collect();
            what.push_str(&tr!(" Also affected: {}.", behind.join(", ")));
        }
        let (kind, field, fix) = match (mode, self.never) {
            (Mode::Out, true) => (FaultKind::NeverReached, "needs", ROUTE),
            (Mode::Out, false) => (FaultKind::SometimesNotReached, "needs", ROUTE),
            (_, true) => (FaultKind::NeverBack, "refit_needs", BACK),
            (_, false) => (FaultKind::SometimesNotBack, "refit_needs", BACK),
        };
        let at = first.leg.path(
            &draft.parts[first.part.index()],
            draft.catalog.part(first.part).is_source(),
        );
        report.add(
            kind,
            &at.field(field),
            what,
            localize_static(fix).to_owned(),
        );
    }
}

const ROUTE: &str = tr_noop!("Remove one of these needs, or add another route with “any”.");
const BACK: &str = tr_noop!("Remove one of these from “refit_needs”.");

fn link(catalog: &Catalog, node: Node, barrier: Barrier) -> String {
    let name = id(catalog, node.part);
    let name = match node.leg {
        LegName::Ease => tr!("easing {}", name),
        LegName::TakeOff | LegName::OtherWay(_) => name.to_owned(),
        LegName::BenchOff => tr!("{} on the bench", name),
    };
    let needs = |part, state| {
        let part = id(catalog, part);
        tr!("in a chain of refusals" => "{} needs {} {}", name, part, state)
    };
    match barrier {
        Barrier::Part(part, Atom::Eased) => needs(part, tr!("eased")),
        Barrier::Part(part, Atom::Off) if catalog.part(part).is_source() => {
            needs(part, tr!("isolated"))
        }
        Barrier::Part(part, Atom::Off) | Barrier::CarrierOn(part) => needs(part, tr!("off")),
        Barrier::Part(part, Atom::Clear) => needs(part, tr!("taken off by itself")),
        Barrier::Part(part, Atom::InPlace) => needs(part, tr!("in place")),
        Barrier::NotEased => tr!("{} must be eased first", name),
        Barrier::Nothing => tr!("{} has no route", name),
    }
}
