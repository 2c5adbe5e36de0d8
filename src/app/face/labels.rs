//! Room for the words on a face: those of the part in hand first, and none over
//! another or over a number.

use super::{Badge, Drawn, corners, middle};
use crate::catalog::format::Point;

/// A word and where its middle is.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The word.
    pub text: String,
    /// Its middle.
    pub at: Point,
    /// It belongs to the part in hand.
    pub lit: bool,
}

/// How large words and numbers are, mm.
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

/// The words to be shown on a drawing, each once: those of the part in hand,
/// whatever happens; then, where there is room, landmarks; then the rest.
pub fn labels(features: &[Drawn], badges: &[Badge], sizes: Sizes) -> Vec<Label> {
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
    for wanted in 0..=2 {
        for drawn in features.iter().filter(|drawn| rank(drawn) == wanted) {
            let Some(text) = &drawn.feature.label else {
                continue;
            };
            if shown.iter().any(|label| label.text == *text && !drawn.lit) {
                continue;
            }
            let wide = text.chars().count() as f64 * sizes.letter / 2.0;
            let high = sizes.line / 2.0;
            let (from, to) = corners(&drawn.feature.shape);
            let inside = middle(&drawn.feature.shape);
            let at_y = |y: f64| Point { x: inside.x, y };
            let places = [inside, at_y(from.y - high), at_y(to.y + high)];
            let free = |at: &Point| !taken.iter().any(|area| meet(*area, (*at, wide, high)));
            let Some(at) = places
                .into_iter()
                .find(free)
                .or_else(|| drawn.lit.then_some(inside))
            else {
                continue;
            };
            taken.push((at, wide, high));
            shown.push(Label {
                text: text.clone(),
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
