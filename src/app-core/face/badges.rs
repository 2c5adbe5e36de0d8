//! Placement of number badges: where points are close together, the badges are pushed
//! apart, and a line leads from each to its point.

use lidoff_catalog::format::Point;

/// Number of rounds in which the badges are pushed apart: more than needed for the few
/// dozen of one face.
const ROUNDS: usize = 60;

/// A number badge.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Badge {
    /// The point that it marks.
    pub spot: Point,
    /// Middle of the number.
    pub at: Point,
}

/// Places badges of this radius for these points, inside the box from (0, 0) to `size` with
/// a margin of one radius around it. No two of them overlap, as long as there is room.
pub fn badges(spots: &[Point], radius: f64, size: Point) -> Vec<Badge> {
    let mut all: Vec<Badge> = spots
        .iter()
        .map(|spot| Badge {
            spot: *spot,
            at: *spot,
        })
        .collect();
    let apart = 2.2 * radius;
    for _ in 0..ROUNDS {
        let mut moved = false;
        for one in 0..all.len() {
            for other in one + 1..all.len() {
                let (a, b) = (all[one].at, all[other].at);
                let (dx, dy) = (b.x - a.x, b.y - a.y);
                let far = dx.hypot(dy);
                if far >= apart {
                    continue;
                }
                moved = true;
                // Two badges at one point: the later one moves to the right.
                let (ux, uy) = if far < 1e-9 {
                    (1.0, 0.0)
                } else {
                    (dx / far, dy / far)
                };
                let push = (apart - far) / 2.0 + 1e-6;
                all[one].at = clamp_to_face(a.x - ux * push, a.y - uy * push, size);
                all[other].at = clamp_to_face(b.x + ux * push, b.y + uy * push, size);
            }
        }
        if !moved {
            break;
        }
    }
    all
}

fn clamp_to_face(x: f64, y: f64, size: Point) -> Point {
    Point {
        x: x.clamp(0.0, size.x),
        y: y.clamp(0.0, size.y),
    }
}
