//! A face drawing as geometry: what is on it, which places are marked, in which
//! order. Pure; the picture is drawn elsewhere.

use crate::catalog::format::{Feature, Point, Shape};
use crate::catalog::model::{Catalog, FaceIx, FasteningIx, Step};

/// What to draw of a face for one step.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// The face.
    pub face: FaceIx,
    /// Its features, and whether each shows the part in hand.
    pub features: Vec<(Feature, bool)>,
    /// Places to mark, numbered from 1 in this order.
    pub spots: Vec<Point>,
}

/// The drawing for a step: the face that it names or its fasteners are seen on;
/// `None` where there is neither.
pub fn drawing(catalog: &Catalog, step: &Step) -> Option<Drawing> {
    let undone = step.undo.iter().map(|at| (*at, true));
    let redone = step.redo.iter().map(|at| (*at, false));
    let sets: Vec<(FasteningIx, bool)> = undone.chain(redone).collect();
    let seen = sets.iter().find_map(|(at, _)| catalog.fastening(*at).face);
    let face = step.face.or(seen)?;
    let here = sets
        .iter()
        .filter(|(at, _)| catalog.fastening(*at).face == Some(face));
    let spots = here
        .flat_map(|(at, undo)| places(catalog, *at, *undo))
        .collect();
    let in_hand: Vec<_> = sets
        .iter()
        .map(|(at, _)| catalog.part(catalog.fastening(*at).part).id.clone())
        .collect();
    let features = catalog.face(face).features.iter();
    let features = features
        .map(|feature| {
            let lit = feature
                .part
                .as_ref()
                .is_some_and(|part| in_hand.contains(part));
            (feature.clone(), lit)
        })
        .collect();
    Some(Drawing {
        face,
        features,
        spots,
    })
}

/// The places of a fastening in the order in which they are worked.
fn places(catalog: &Catalog, at: FasteningIx, undo: bool) -> Vec<Point> {
    let said = &catalog.fastening(at).said;
    if undo || said.tighten.is_empty() {
        return said.points.clone();
    }
    let place = |number: &u16| {
        said.points
            .get(usize::from(*number).wrapping_sub(1))
            .copied()
    };
    said.tighten.iter().filter_map(place).collect()
}

/// The middle of a shape, mm.
pub fn middle(shape: &Shape) -> Point {
    match shape {
        Shape::Rect { x, y, w, h, .. } => Point {
            x: x + w / 2.0,
            y: y + h / 2.0,
        },
        Shape::Circle { x, y, .. } => Point { x: *x, y: *y },
        Shape::Line(points) => {
            let many = points.len().max(1) as f64;
            let sum = |of: fn(&Point) -> f64| points.iter().map(of).sum::<f64>() / many;
            Point {
                x: sum(|point| point.x),
                y: sum(|point| point.y),
            }
        }
    }
}
