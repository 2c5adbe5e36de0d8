//! Legs and their numbers.

use crate::state::PartState;

/// Which legs a part has, besides being taken off in place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartLegs {
    pub eases: bool,
    /// It can come off its carrier on the bench.
    pub comes_off_on_bench: bool,
}

/// The number of the leg that brings a part to this state: `2 p` for easing, `2 p + 1`
/// for off. A part without an easing leg is eased by taking it off.
pub fn leg_of(part: usize, state: PartState, part_legs: &[PartLegs]) -> usize {
    match state {
        PartState::Eased if part_legs[part].eases => 2 * part,
        _ => 2 * part + 1,
    }
}
