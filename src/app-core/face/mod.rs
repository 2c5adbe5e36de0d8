//! A face drawing as geometry: its features, the marked points and their order. Pure;
//! the picture is drawn elsewhere.
//!
//! # Which way round
//!
//! A face is drawn as it is seen from outside, turned toward the viewer; its
//! `turn` says how to hold the unit so. When that face is up, the drawing lies as
//! the unit lies, and nothing is mirrored: a unit that lies face down shows its
//! underside, and the drawing of the underside is that view.
//!
//! Mirrored is what crosses from one side to the other. Where a catalog says that
//! a face is the [opposite](lidoff_catalog::format::Opposite) of another, a place
//! on the one has a place on the other: left and right change over when the unit
//! is flipped like a page, top and bottom when it is flipped like a sheet of a
//! wall calendar; the other direction stays. So
//!
//! - fasteners whose places are given on the one face, for a step that is done on
//!   the other (a part that comes off from the front, or from behind when its
//!   carrier lies on the mat), are marked where they are on the face in hand;
//! - a part that only the opposite face shows is drawn where it lies behind, with
//!   a broken line.
//!
//! Mirroring twice leads back. What is neither on the face in hand nor on its
//! opposite is shown on the face that the catalog gives for it.

mod across;
mod badges;
mod drawn;
mod labels;
mod legend;
#[cfg(test)]
mod tests;

pub use self::across::{Across, across};
pub use self::badges::{Badge, badges};
pub use self::drawn::{Drawn, corners, middle};
pub use self::labels::{Label, Sizes, labels};
pub use self::legend::{Line, drive_words, size_words};
use lidoff_catalog::format::{Feature, PartId, Point};
use lidoff_catalog::model::{Catalog, FaceIx, FasteningIx, ResolvedCondition, Step};
use lidoff_catalog::setup::Setup;

/// What to draw of a face for one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The face.
    pub face: FaceIx,
    /// What is on it.
    pub features: Vec<Drawn>,
    /// Points to mark, numbered from 1 in this order.
    pub spots: Vec<Point>,
    /// The legend of the numbers, kind by kind.
    pub legend: Vec<Line>,
}

impl Drawing {
    /// What must be seen of it: the points to mark or, without them, the current part.
    pub fn target(&self) -> Vec<(f64, f64)> {
        let lit = self.features.iter().filter(|drawn| drawn.lit);
        let of_part = lit.flat_map(|drawn| {
            let (from, to) = drawn::corners(&drawn.feature.shape);
            [from, to]
        });
        let points: Vec<Point> = if self.spots.is_empty() {
            of_part.collect()
        } else {
            self.spots.clone()
        };
        points.iter().map(|at| (at.x, at.y)).collect()
    }
}

/// The drawing for a step, with the part of its operation, on a unit with this
/// configuration (with everything, if the configuration is unknown). It shows the face that
/// the step names or, if its fasteners cannot be seen there, the face that they are on;
/// `None` if there is neither.
pub fn drawing(
    catalog: &Catalog,
    step: &Step,
    about: Option<&PartId>,
    setup: Option<&Setup>,
) -> Option<Drawing> {
    let undone = step.undo.iter().map(|at| (*at, true));
    let redone = step.redo.iter().map(|at| (*at, false));
    let there = |at: &FasteningIx| holds(setup, &catalog.fastening(*at).when);
    let sets: Vec<(FasteningIx, bool)> = undone.chain(redone).filter(|(at, _)| there(at)).collect();
    let seen = sets.iter().find_map(|(at, _)| catalog.fastening(*at).face);
    let named = step
        .face
        .filter(|face| seen.is_none() || sets.iter().any(|(at, _)| on(catalog, *at, *face)));
    let face = named.or(seen)?;
    let mut spots = Vec::new();
    let mut legend = Vec::new();
    for (at, undo) in sets.iter().filter(|(at, _)| on(catalog, *at, face)) {
        let here = places(catalog, *at, *undo, face);
        legend.push(Line::new(catalog, *at, spots.len(), here.len()));
        spots.extend(here);
    }
    let held = sets
        .iter()
        .map(|(at, _)| &catalog.part(catalog.fastening(*at).part).id);
    let in_hand: Vec<&PartId> = about.into_iter().chain(held).collect();
    Some(Drawing {
        face,
        features: features(catalog, face, &in_hand, setup),
        spots,
        legend,
    })
}

/// The features of the face, and the current parts that only its opposite shows.
fn features(
    catalog: &Catalog,
    face: FaceIx,
    in_hand: &[&PartId],
    setup: Option<&Setup>,
) -> Vec<Drawn> {
    let there = |feature: &&Feature| {
        let part = feature.part.as_ref();
        let part = part.and_then(|part| catalog.find_part(part.as_str()));
        part.is_none_or(|part| holds(setup, &catalog.part(part).when))
    };
    let lit = |feature: &Feature| {
        let part = feature.part.as_ref();
        part.is_some_and(|part| in_hand.contains(&part))
    };
    let here = catalog.face(face);
    let mut drawn: Vec<Drawn> = here
        .features
        .iter()
        .filter(there)
        .map(|feature| Drawn {
            lit: lit(feature),
            behind: false,
            feature: feature.clone(),
        })
        .collect();
    let shown = |part: &Option<PartId>| here.features.iter().any(|feature| feature.part == *part);
    for (_, other) in catalog.faces() {
        let Some(across) = across(other, here) else {
            continue;
        };
        let behind = other
            .features
            .iter()
            .filter(there)
            .filter(|feature| lit(feature) && !shown(&feature.part));
        drawn.extend(behind.map(|feature| Drawn {
            feature: Feature {
                shape: across.shape(&feature.shape),
                ..feature.clone()
            },
            lit: true,
            behind: true,
        }));
    }
    drawn
}

/// Whether this condition holds on a unit with this configuration.
fn holds(setup: Option<&Setup>, when: &ResolvedCondition) -> bool {
    setup.is_none_or(|setup| setup.holds(when))
}

/// Whether a fastening can be marked on this face.
fn on(catalog: &Catalog, at: FasteningIx, face: FaceIx) -> bool {
    !places(catalog, at, true, face).is_empty()
}

/// The points of a fastening on this face, in working order.
fn places(catalog: &Catalog, at: FasteningIx, undo: bool, face: FaceIx) -> Vec<Point> {
    let entry = &catalog.fastening(at).entry;
    let Some(given) = catalog.fastening(at).face else {
        return Vec::new();
    };
    let place = |number: &u16| {
        entry
            .points
            .get(usize::from(*number).wrapping_sub(1))
            .copied()
    };
    let points: Vec<Point> = if undo || entry.tighten.is_empty() {
        entry.points.clone()
    } else {
        entry.tighten.iter().filter_map(place).collect()
    };
    if given == face {
        return points;
    }
    let Some(across) = across(catalog.face(given), catalog.face(face)) else {
        return Vec::new();
    };
    points
        .into_iter()
        .map(|point| across.point(point))
        .collect()
}
