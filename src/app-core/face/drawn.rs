//! One feature of a drawing, and the position of its shape.

use lidoff_catalog::format::{Feature, Point, Shape};

/// One feature of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawn {
    /// The feature, where it lies on this face.
    pub feature: Feature,
    /// Whether it shows the current part.
    pub lit: bool,
    /// Whether it lies on the other side and is shown through.
    pub behind: bool,
}

/// The middle of a shape, mm.
pub fn middle(shape: &Shape) -> Point {
    let (from, to) = corners(shape);
    Point {
        x: f64::midpoint(from.x, to.x),
        y: f64::midpoint(from.y, to.y),
    }
}

/// The upper left and the lower right corner of the box around a shape, mm.
pub fn corners(shape: &Shape) -> (Point, Point) {
    let point = |x, y| Point { x, y };
    match shape {
        Shape::Rect { x, y, w, h, .. } => (point(*x, *y), point(x + w, y + h)),
        Shape::Circle { x, y, r } => (point(x - r, y - r), point(x + r, y + r)),
        Shape::Line(points) => {
            let first = points.first().copied().unwrap_or(point(0.0, 0.0));
            points.iter().fold((first, first), |(from, to), at| {
                (
                    point(from.x.min(at.x), from.y.min(at.y)),
                    point(to.x.max(at.x), to.y.max(at.y)),
                )
            })
        }
    }
}
