//! Fastenings: as many points as fasteners, a valid tightening order, and a well for
//! loose fasteners.

use super::configurations::{Configurations, Variables};
use super::draft::Draft;
use super::faces;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::Fastening;
use crate::model::{PlacedFastening, ResolvedCondition};
use lidoff_i18n::tr;

/// Checks that need only the entry itself.
pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (fastening, at) in draft.catalog.fastenings.iter().zip(&draft.fastenings) {
        let entry = &fastening.entry;
        if entry.count == 0 {
            report.add(
                FaultKind::BadNumber,
                &at.field("count"),
                tr!("The count must be at least 1."),
                tr!("Give the number of fasteners, or remove the fastening."),
            );
        }
        points(entry, at, report);
        tightening(entry, at, report);
    }
}

fn points(entry: &Fastening, at: &Path, report: &mut Report) {
    let points = entry.points.len();
    if points == 0 {
        return;
    }
    if points != usize::from(entry.count) {
        report.add(
            FaultKind::PointsMiscounted,
            &at.field("points"),
            tr!(
                "The number of points ({points}) differs from the number of fasteners ({}).",
                entry.count,
                points
            ),
            tr!("Give one point for each fastener, or none at all."),
        );
    }
    if entry.face.is_none() {
        report.add(
            FaultKind::PointsWithoutFace,
            &at.field("points"),
            tr!("These points have no face."),
            tr!("Name the face that they are on."),
        );
    }
}

fn tightening(entry: &Fastening, at: &Path, report: &mut Report) {
    if entry.tighten.is_empty() {
        return;
    }
    let mut places: Vec<usize> = entry.tighten.iter().map(|at| usize::from(*at)).collect();
    crate::insertion_sort(&mut places, |one, next| one > next);
    if !places.into_iter().eq(1..=entry.points.len()) {
        report.add(
            FaultKind::BadTightening,
            &at.field("tighten"),
            tr!("A tightening order must list each point once, counted from 1."),
            tr!("List the numbers 1 to {} in tightening order.", entry.count),
        );
    }
}

/// Checks that need the kinds and faces.
pub(super) fn placed(draft: &Draft, variables: &Variables, report: &mut Report) {
    let catalog = &draft.catalog;
    for (fastening, at) in catalog.fastenings.iter().zip(&draft.fastenings) {
        if let Some(face) = fastening.face {
            for (nth, point) in fastening.entry.points.iter().enumerate() {
                let at = at.field("points").nth(nth);
                faces::holds_fastener(*point, catalog.face(face), &at, report);
            }
        }
        let kind = catalog.fastener(fastening.fastener);
        let well = fastening.entry.well;
        if kind.captive && well.is_some() {
            report.add(
                FaultKind::CaptiveInWell,
                &at.field("well"),
                tr!("A captive fastener stays with its part and needs no well."),
                tr!("Remove the well, or remove “captive” from the fastener."),
            );
        }
        // What is used once goes in the bin, and needs no well.
        if !kind.captive && !kind.single_use && well.is_none() {
            report.add(
                FaultKind::LooseWithoutWell,
                at,
                tr!("These fasteners come loose but have no tray well."),
                tr!("Give them a well, or mark the fastener as “captive”."),
            );
        }
    }
    wells(draft, variables, report);
}

/// A well holds fasteners of one kind, so that any of them fits any hole.
fn wells(draft: &Draft, variables: &Variables, report: &mut Report) {
    let catalog = &draft.catalog;
    for (nth, one) in catalog.fastenings.iter().enumerate() {
        let clash = catalog.fastenings[..nth].iter().find(|other| {
            one.entry.well.is_some()
                && one.entry.well == other.entry.well
                && one.fastener != other.fastener
                && both_there(draft, variables, one, other)
        });
        if let (Some(other), Some(well)) = (clash, one.entry.well) {
            report.add(
                FaultKind::MixedWell,
                &draft.fastenings[nth].field("well"),
                tr!(
                    "Well {well} already holds “{}” of “{}”, and these are “{}”.",
                    other.entry.fastener,
                    other.entry.id,
                    one.entry.fastener,
                    well
                ),
                tr!("Give each kind of fastener its own well."),
            );
        }
    }
}

fn both_there(
    draft: &Draft,
    variables: &Variables,
    one: &PlacedFastening,
    other: &PlacedFastening,
) -> bool {
    let conditions: Vec<&ResolvedCondition> = [one, other]
        .into_iter()
        .flat_map(|fastening| [&fastening.when, &draft.catalog.part(fastening.part).when])
        .collect();
    Configurations::varying(variables, &conditions).any_holds(variables, &conditions)
}
