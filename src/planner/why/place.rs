//! How far an operation can be moved in the order, and what that would cost.

use super::Place;
use super::line::Line;

/// Why the operation at this place stands there.
pub(super) fn place(line: &Line, at: usize) -> Place {
    let mut place = Place::default();
    let cost = |moved: &Line| moved.total.saturating_sub(line.total);
    for to in (0..at).rev() {
        match line.moved(at, to) {
            Some(moved) => place.sooner = Some(cost(&moved)),
            None => {
                place.after = Some(line.action(to).op);
                break;
            }
        }
    }
    for to in at + 1..line.acts.len() {
        match line.moved(at, to) {
            Some(moved) => place.later = Some(cost(&moved)),
            None => {
                place.before = Some(line.action(to).op);
                break;
            }
        }
    }
    place
}
