//! From a face to the one on the opposite side.

use lidoff_catalog::format::{Face, Flip, Point, Shape};

/// Maps positions on a face to its opposite face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Across {
    flip: Flip,
    /// Left edge of the smaller face on the other's drawing, mm.
    x: f64,
    /// Upper edge of it there, mm.
    y: f64,
    /// Size of the face that the flip is measured on, mm.
    width: f64,
    height: f64,
    /// From the face that says so to the one that it names.
    back: bool,
}

/// The mapping from one face to another, if one is declared as the opposite of the other.
pub fn across(from: &Face, to: &Face) -> Option<Across> {
    let way = |face: &Face, of: &Face, back| {
        let opposite = face
            .opposite
            .as_ref()
            .filter(|opposite| opposite.face == of.id)?;
        Some(Across {
            flip: opposite.flip,
            x: opposite.x,
            y: opposite.y,
            width: face.width_mm,
            height: face.height_mm,
            back,
        })
    };
    way(to, from, false).or_else(|| way(from, to, true))
}

impl Across {
    /// Which way the unit is flipped.
    pub const fn flip(&self) -> Flip {
        self.flip
    }

    /// The position of a point on the other face.
    pub fn point(&self, Point { x, y }: Point) -> Point {
        let moved = |at: f64, corner: f64| if self.back { at } else { at - corner };
        let (x, y) = (moved(x, self.x), moved(y, self.y));
        let (x, y) = match self.flip {
            Flip::LeftRight => (self.width - x, y),
            Flip::TopBottom => (x, self.height - y),
        };
        if self.back {
            Point {
                x: x + self.x,
                y: y + self.y,
            }
        } else {
            Point { x, y }
        }
    }

    /// The position of a shape on the other face.
    pub fn shape(&self, shape: &Shape) -> Shape {
        match shape {
            Shape::Rect { x, y, w, h, r } => {
                let one = self.point(Point { x: *x, y: *y });
                let other = self.point(Point { x: x + w, y: y + h });
                Shape::Rect {
                    x: one.x.min(other.x),
                    y: one.y.min(other.y),
                    w: *w,
                    h: *h,
                    r: *r,
                }
            }
            Shape::Circle { x, y, r } => {
                let Point { x, y } = self.point(Point { x: *x, y: *y });
                Shape::Circle { x, y, r: *r }
            }
            Shape::Line(points) => {
                Shape::Line(points.iter().map(|point| self.point(*point)).collect())
            }
        }
    }
}
