//! Placement of labels on a face: those of the current part first, and none over
//! another label or a number.

use super::badges::Badge;
use super::drawn::{Drawn, corners};
use lidoff_catalog::format::Point;
use lidoff_i18n::localize;
use lidoff_i18n::strip_soft_hyphens;

/// Width of the bold labels of the current part, relative to other labels.
const BOLD: f64 = 1.25;

/// A label and its centre.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its text.
    pub text: String,
    /// Its middle.
    pub at: Point,
    /// Whether it belongs to the current part.
    pub lit: bool,
}

/// Sizes of text and numbers, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sizes {
    /// Width of a letter.
    pub letter: f64,
    /// Height of a line.
    pub line: f64,
    /// Radius of a number.
    pub radius: f64,
}

/// The box that something takes up: middle, half its width, half its height.
type Area = (Point, f64, f64);

/// The labels of what is seen between these two corners of a drawing, each once. First those of
/// the current part, of which the first is always shown; then landmarks, if a label fits in
/// or beside them; then other parts, if it fits in them. Parts under the current part get
/// no label.
pub fn labels(
    features: &[Drawn],
    badges: &[Badge],
    sizes: Sizes,
    (left, right): (Point, Point),
) -> Vec<Label> {
    let mut taken: Vec<Area> = badges
        .iter()
        .map(|badge| (badge.at, sizes.radius, sizes.radius))
        .collect();
    let mut shown: Vec<Label> = Vec::new();
    let rank = |drawn: &Drawn| match (drawn.lit, &drawn.feature.part) {
        (true, _) => 0,
        (false, None) => 1,
        (false, Some(_)) => 2,
    };
    let covered = |drawn: &Drawn| {
        let (a, b) = corners(&drawn.feature.shape);
        features.iter().filter(|other| other.lit).any(|lit| {
            let (c, d) = corners(&lit.feature.shape);
            c.x <= a.x && c.y <= a.y && b.x <= d.x && b.y <= d.y
        })
    };
    for wanted in 0..=2 {
        for drawn in features.iter().filter(|drawn| rank(drawn) == wanted) {
            let Some(text) = &drawn.feature.label else {
                continue;
            };
            let text = strip_soft_hyphens(&localize(text)).into_owned();
            if (wanted > 0 && covered(drawn)) || shown.iter().any(|label| label.text == text) {
                continue;
            }
            let letter = sizes.letter * if drawn.lit { BOLD } else { 1.0 };
            let wide = text.chars().count() as f64 * letter / 2.0;
            let high = sizes.line / 2.0;
            // Of a feature that is seen in part, that part gets the label.
            let (from, to) = corners(&drawn.feature.shape);
            let from = Point {
                x: from.x.max(left.x),
                y: from.y.max(left.y),
            };
            let to = Point {
                x: to.x.min(right.x),
                y: to.y.min(right.y),
            };
            if from.x > to.x || from.y > to.y {
                continue;
            }
            let inside = Point {
                x: f64::midpoint(from.x, to.x),
                y: f64::midpoint(from.y, to.y),
            };
            // Keep labels within the edge of the drawing.
            let x = inside
                .x
                .clamp(left.x + wide, (right.x - wide).max(left.x + wide));
            let at_y = |y: f64| Point { x, y };
            let fits = 2.0 * wide <= to.x - from.x && 2.0 * high <= to.y - from.y;
            let places = [
                inside.y,
                from.y - high,
                to.y + high,
                from.y - 3.0 * high,
                to.y + 3.0 * high,
            ];
            let many = if wanted == 2 {
                usize::from(fits)
            } else {
                places.len()
            };
            let free = |at: &Point| {
                let on = left.y + high <= at.y && at.y <= right.y - high;
                on && !taken.iter().any(|area| meet(*area, (*at, wide, high)))
            };
            let first = wanted == 0 && shown.is_empty();
            let Some(at) = places
                .into_iter()
                .take(many)
                .map(at_y)
                .find(free)
                .or_else(|| first.then_some(at_y(inside.y)))
            else {
                continue;
            };
            taken.push((at, wide, high));
            shown.push(Label {
                text,
                at,
                lit: drawn.lit,
            });
        }
    }
    shown
}

fn meet((a, aw, ah): Area, (b, bw, bh): Area) -> bool {
    (a.x - b.x).abs() < aw + bw && (a.y - b.y).abs() < ah + bh
}
