//! Fastenings where they stand: as many points as fasteners, an order to tighten
//! them in, a well for what lies loose.

use super::draft::Draft;
use super::faces;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::worlds::{Variables, Worlds};
use crate::format::Fastening;
use crate::model::{Cond, PlacedFastening};
use lidoff_i18n::tr;

/// What can be judged where it stands.
pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (fastening, at) in draft.catalog.fastenings.iter().zip(&draft.fastenings) {
        let said = &fastening.said;
        if said.count == 0 {
            report.say(
                FaultKind::BadNumber,
                &at.field("count"),
                tr!("There is no fastening of no fasteners."),
                tr!("Say how many, or take the fastening out."),
            );
        }
        points(said, at, report);
        tightening(said, at, report);
    }
}

fn points(said: &Fastening, at: &Path, report: &mut Report) {
    let points = said.points.len();
    if points == 0 {
        return;
    }
    if points != usize::from(said.count) {
        report.say(
            FaultKind::PointsMiscounted,
            &at.field("points"),
            tr!(
                "There are {points} points for {} fasteners.",
                said.count,
                points
            ),
            tr!("Give one point for each, or none."),
        );
    }
    if said.face.is_none() {
        report.say(
            FaultKind::PointsWithoutFace,
            &at.field("points"),
            tr!("Nothing says which face the points are on."),
            tr!("Name the face."),
        );
    }
}

fn tightening(said: &Fastening, at: &Path, report: &mut Report) {
    if said.tighten.is_empty() {
        return;
    }
    let mut places: Vec<usize> = said.tighten.iter().map(|at| usize::from(*at)).collect();
    crate::insertion_sort(&mut places, |one, next| one > next);
    if !places.into_iter().eq(1..=said.points.len()) {
        report.say(
            FaultKind::BadTightening,
            &at.field("tighten"),
            tr!("A tightening order names each point once, counted from 1."),
            tr!("Put 1 to {} in order.", said.count),
        );
    }
}

/// What is known once kinds and faces are found.
pub(super) fn placed(draft: &Draft, variables: &Variables, report: &mut Report) {
    let catalog = &draft.catalog;
    for (fastening, at) in catalog.fastenings.iter().zip(&draft.fastenings) {
        if let Some(face) = fastening.face {
            for (nth, point) in fastening.said.points.iter().enumerate() {
                let at = at.field("points").nth(nth);
                faces::holds_fastener(*point, catalog.face(face), &at, report);
            }
        }
        let kind = catalog.fastener(fastening.fastener);
        let well = fastening.said.well;
        if kind.captive && well.is_some() {
            report.say(
                FaultKind::CaptiveInWell,
                &at.field("well"),
                tr!("A captive fastener stays with its part and never lies in a well."),
                tr!("Take the well out, or do not call the fastener captive."),
            );
        }
        // What is used once goes in the bin, and needs no well.
        if !kind.captive && !kind.single_use && well.is_none() {
            report.say(
                FaultKind::LooseWithoutWell,
                at,
                tr!("These fasteners come loose and have no well to lie in."),
                tr!("Give them a well, or call the fastener captive."),
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
            one.said.well.is_some()
                && one.said.well == other.said.well
                && one.fastener != other.fastener
                && both_there(draft, variables, one, other)
        });
        if let (Some(other), Some(well)) = (clash, one.said.well) {
            report.say(
                FaultKind::MixedWell,
                &draft.fastenings[nth].field("well"),
                tr!(
                    "In well {well} lie “{}” of “{}” already, and these are “{}”.",
                    other.said.fastener,
                    other.said.id,
                    one.said.fastener,
                    well
                ),
                tr!("Give each kind its own well."),
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
    let conditions: Vec<&Cond> = [one, other]
        .into_iter()
        .flat_map(|fastening| [&fastening.when, &draft.catalog.part(fastening.part).when])
        .collect();
    Worlds::over(variables, &conditions).any_holds(variables, &conditions)
}
