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
                tr!("The count must be at least 1."),
                tr!("Give the number of fasteners, or remove the fastening."),
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
            tr!("Give one point for each fastener, or none at all."),
        );
    }
    if said.face.is_none() {
        report.say(
            FaultKind::PointsWithoutFace,
            &at.field("points"),
            tr!("These points have no face."),
            tr!("Name the face that they are on."),
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
            tr!("A tightening order must list each point once, counted from 1."),
            tr!("List the numbers 1 to {} in tightening order.", said.count),
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
                tr!("A captive fastener stays with its part and needs no well."),
                tr!("Remove the well, or remove “captive” from the fastener."),
            );
        }
        // What is used once goes in the bin, and needs no well.
        if !kind.captive && !kind.single_use && well.is_none() {
            report.say(
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
                    "Well {well} already holds “{}” of “{}”, and these are “{}”.",
                    other.said.fastener,
                    other.said.id,
                    one.said.fastener,
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
    let conditions: Vec<&Cond> = [one, other]
        .into_iter()
        .flat_map(|fastening| [&fastening.when, &draft.catalog.part(fastening.part).when])
        .collect();
    Worlds::over(variables, &conditions).any_holds(variables, &conditions)
}
