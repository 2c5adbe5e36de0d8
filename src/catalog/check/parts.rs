//! Parts: each can move, goes back the way it came, and is only asked for operations
//! that it has.

use super::draft::{Atom, AtomPlace, Draft, FormulaOwner, LegName};
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::ReachedState;
use crate::model::{Catalog, Leg, Part, PartIx};
use lidoff_i18n::tr;

/// Checks that need only the entry itself.
pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (part, at) in draft.catalog.parts.iter().zip(&draft.parts) {
        ways(part, at, report);
        tasks(part, at, report);
    }
}

fn ways(part: &Part, at: &Path, report: &mut Report) {
    if part.ease.is_none() && part.take_off.is_none() && part.bench_off.is_none() {
        report.add(
            FaultKind::NeverMoves,
            at,
            tr!("The part can be neither eased nor taken off."),
            tr!(
                "Add “ease”, “take_off” or “bench_off”, or describe it as a feature of a \
                 face."
            ),
        );
    }
    for (name, leg) in named_legs(part) {
        let at = name.path(at, part.is_source());
        if leg.out.is_empty() {
            report.add(
                FaultKind::NoWayOut,
                &at.field("out"),
                tr!("The way out has no steps."),
                tr!("Add at least the step that moves the part."),
            );
        }
        // A source that another one feeds comes alive with it, without a step.
        if leg.back.is_empty() && !part.is_source() {
            report.add(
                FaultKind::NoWayBack,
                &at.field("back"),
                tr!("The way back has no steps."),
                tr!(
                    "Add the steps that put the part back. They are not derived from the \
                     way out."
                ),
            );
        }
    }
}

/// The legs of a part with their names.
pub(super) fn named_legs(part: &Part) -> impl Iterator<Item = (LegName, &Leg)> {
    let ease = part.ease.iter().map(|leg| (LegName::Ease, leg));
    let take_off = part.take_off.iter().map(|leg| (LegName::TakeOff, leg));
    let others = (0..).zip(&part.other_ways);
    let others = others.map(|(nth, leg)| (LegName::OtherWay(nth), leg));
    let bench_off = part.bench_off.iter().map(|leg| (LegName::BenchOff, leg));
    ease.chain(take_off).chain(others).chain(bench_off)
}

fn comes_off(part: &Part) -> bool {
    part.take_off.is_some() || part.bench_off.is_some()
}

fn tasks(part: &Part, at: &Path, report: &mut Report) {
    if part.swap.is_some() && !comes_off(part) {
        report.add(
            FaultKind::TaskOutOfReach,
            &at.field("swap"),
            tr!("The part is replaced, but the catalog does not say how it comes off."),
            tr!("Add “take_off” or “bench_off”."),
        );
    }
    if !part.leave_out.is_empty() && !comes_off(part) {
        report.add(
            FaultKind::TaskOutOfReach,
            &at.field("leave_out"),
            tr!("The part is left out, but the catalog does not say how it comes off."),
            tr!("Add “take_off” or “bench_off”."),
        );
    }
    let Some(reseat) = &part.reseat else {
        return;
    };
    let at = at.field("reseat").field("at");
    match reseat.at {
        ReachedState::Eased if part.ease.is_none() => report.add(
            FaultKind::TaskOutOfReach,
            &at,
            tr!(
                "The part is reseated when eased, but the catalog does not say how it is \
                 eased."
            ),
            tr!("Add “ease”, or reseat the part when it is off."),
        ),
        ReachedState::Off if !comes_off(part) => report.add(
            FaultKind::TaskOutOfReach,
            &at,
            tr!(
                "The part is reseated when off, but the catalog does not say how it comes \
                 off."
            ),
            tr!("Add “take_off” or “bench_off”, or reseat the part when it is eased."),
        ),
        ReachedState::Eased | ReachedState::Off => {}
    }
}

/// Checks that need the other parts.
pub(super) fn related(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    alike(draft, report);
    for (ix, part) in catalog.parts() {
        let at = &draft.parts[ix.index()];
        carrier(catalog, ix, part, at, report);
        let moves_over = part.swap.iter().flat_map(|swap| &swap.moves_over);
        for (nth, rider) in moves_over.enumerate() {
            let at = at.field("swap").field("moves_over").nth(nth);
            moves(catalog, ix, *rider, &at, report);
        }
    }
    for place in &draft.atoms {
        atom(catalog, place, report);
    }
}

/// Nothing is one of several by itself.
fn alike(draft: &Draft, report: &mut Report) {
    let parts = draft.catalog.parts.iter();
    for (part, at) in parts.clone().zip(&draft.parts) {
        let Some(like) = &part.like else { continue };
        if parts
            .clone()
            .filter(|other| other.like.as_ref() == Some(like))
            .count()
            == 1
        {
            report.add(
                FaultKind::AloneOfItsKind,
                &at.field("like"),
                tr!("No other part is a “{like}”.", like),
                tr!("Use the same words for all parts that are alike, or remove “like”."),
            );
        }
    }
}

fn carrier(catalog: &Catalog, ix: PartIx, part: &Part, at: &Path, report: &mut Report) {
    if part.bench_off.is_some() && part.rides_on.is_none() {
        report.add(
            FaultKind::BenchWithoutCarrier,
            &at.field("bench_off"),
            tr!("The part comes off on the bench, but it has no carrier."),
            tr!("Name its carrier in “rides_on”, or use “take_off”."),
        );
    }
    let circle = circle(catalog, ix);
    // Told once, at the part that the file names first.
    if circle.iter().min() == Some(&ix) {
        let mut ids: Vec<&str> = circle.iter().map(|ix| id(catalog, *ix)).collect();
        ids.push(part.id.as_str());
        report.add(
            FaultKind::RidesInCircle,
            &at.field("rides_on"),
            tr!(
                "Parts ride on each other in a circle: {}.",
                ids.join(&tr!(" on "))
            ),
            tr!("One of them must be fixed to the unit."),
        );
    }
}

/// The circle of carriers that contains this part; empty if there is none.
fn circle(catalog: &Catalog, ix: PartIx) -> Vec<PartIx> {
    let chain = carriers(catalog, ix);
    match chain.last().and_then(|last| catalog.part(*last).rides_on) {
        Some(closing) if closing == ix => std::iter::once(ix).chain(chain).collect(),
        _ if catalog.part(ix).rides_on == Some(ix) => vec![ix],
        _ => Vec::new(),
    }
}

/// What a part rides on, what that rides on, and so on, each once and without
/// the part itself.
pub(super) fn carriers(catalog: &Catalog, ix: PartIx) -> Vec<PartIx> {
    let mut chain = Vec::new();
    let mut next = catalog.part(ix).rides_on;
    while let Some(carrier) = next {
        if carrier == ix || chain.contains(&carrier) {
            break;
        }
        chain.push(carrier);
        next = catalog.part(carrier).rides_on;
    }
    chain
}

fn moves(catalog: &Catalog, ix: PartIx, rider: PartIx, at: &Path, report: &mut Report) {
    let what = match catalog.part(rider) {
        part if part.rides_on != Some(ix) => tr!("it does not ride on that part"),
        part if !comes_off(part) => tr!("it does not come off that part by itself"),
        _ => return,
    };
    report.add(
        FaultKind::CannotMoveOver,
        at,
        tr!(
            "“{}” should move to the new “{}”, but {what}.",
            id(catalog, rider),
            id(catalog, ix),
            what
        ),
        tr!("Set “rides_on” and say how it comes off, or make it a hand-back."),
    );
}

fn atom(catalog: &Catalog, place: &AtomPlace, report: &mut Report) {
    let about = catalog.part(place.about);
    let name = about.id.as_str();
    if let FormulaOwner::Leg(part, _) | FormulaOwner::Refit(part, _) = place.owner
        && part == place.about
    {
        report.add(
            FaultKind::NeedsItself,
            &place.path,
            tr!("“{name}” depends on itself.", name),
            tr!("Remove this. A part that must be eased first has an “ease” leg of its own."),
        );
        return;
    }
    let (what, fix) = match place.atom {
        Atom::Eased if about.ease.is_none() => (
            tr!("“{name}” is never eased, only taken off.", name),
            tr!("Use “off”."),
        ),
        Atom::Off if !comes_off(about) && about.rides_on.is_none() => {
            (tr!("“{name}” never comes off.", name), tr!("Use “eased”."))
        }
        Atom::Clear if !comes_off(about) => (
            tr!("“{name}” is never taken off by itself.", name),
            tr!("Use “off” if it is enough that its carrier is off. Otherwise use “eased”."),
        ),
        Atom::Off | Atom::Clear if carries_owner(catalog, place) => (
            tr!(
                "“{name}” cannot be off while this part rides on it in the unit.",
                name
            ),
            tr!("Use “bench_off” for work that is done once the carrier is off."),
        ),
        _ => return,
    };
    report.add(FaultKind::AtomNeverTrue, &place.path, what, fix);
}

/// Whether the atom's part carries the owner of the formula, which is to be
/// moved in place.
fn carries_owner(catalog: &Catalog, place: &AtomPlace) -> bool {
    match place.owner {
        FormulaOwner::Leg(part, leg) | FormulaOwner::Refit(part, leg) => {
            leg != LegName::BenchOff && carriers(catalog, part).contains(&place.about)
        }
        FormulaOwner::Inspect(_) | FormulaOwner::Service(_) | FormulaOwner::Face => false,
    }
}

pub(super) fn id(catalog: &Catalog, ix: PartIx) -> &str {
    catalog.part(ix).id.as_str()
}
