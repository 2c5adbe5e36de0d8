//! A request made ready to be searched: only the parts that matter, conditions
//! decided, every operation with what it needs, what it costs and what it
//! changes.

mod action;
mod build;
mod certain;
mod formula;
mod node;
mod numbering;
mod test;

pub use action::{Action, Move};
pub use build::Problem;
pub use certain::Certain;
pub use formula::Holds;
pub use node::Node;

use super::PartState;

/// Which legs a part has.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Shape {
    /// It has an easing leg.
    pub eases: bool,
    /// It can come off its carrier on the bench.
    pub benches: bool,
}

/// The number of the leg that brings a part to this level: `2 p` for easing,
/// `2 p + 1` for off. A part that has no easing leg is eased by taking it off.
pub fn leg(part: usize, level: PartState, shapes: &[Shape]) -> usize {
    match level {
        PartState::Eased if shapes[part].eases => 2 * part,
        _ => 2 * part + 1,
    }
}
