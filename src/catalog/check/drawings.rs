//! Gaps in the drawings. They are warnings, because the work can be done without them.

use super::draft::{Draft, StepList};
use super::fault::{FaultKind, Report};
use crate::format::Face;
use crate::model::{FaceIx, PartIx};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    for (fastening, at) in catalog.fastenings.iter().zip(&draft.fastenings) {
        if fastening.face.is_some() && fastening.entry.points.is_empty() {
            report.add(
                FaultKind::NowhereOnFace,
                &at.field("points"),
                tr!("The positions of these fasteners on the face are missing."),
                tr!("Give one point for each fastener."),
            );
        }
    }
    let mut reported: Vec<(PartIx, FaceIx)> = Vec::new();
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        let (StepList::Leg(part, ..), Some(face)) = (place.list, step.face) else {
            continue;
        };
        // A source need not be something to point at.
        let is_known = catalog.part(part).is_source() || reported.contains(&(part, face));
        if is_known || shows(catalog.face(face), draft, part) {
            continue;
        }
        reported.push((part, face));
        report.add(
            FaultKind::NotDrawn,
            &place.path.field("face"),
            tr!(
                "“{}” is worked on from face “{}”, but the drawing of that face does not \
                 show it.",
                catalog.part(part).id,
                catalog.face(face).id
            ),
            tr!("Add a feature that names the part."),
        );
    }
}

/// Whether a face shows the part. A face without any drawing is not reported part by part.
fn shows(face: &Face, draft: &Draft, part: PartIx) -> bool {
    let id = &draft.catalog.part(part).id;
    let mut features = face.features.iter();
    face.features.is_empty() || features.any(|feature| feature.part.as_ref() == Some(id))
}
