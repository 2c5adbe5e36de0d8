//! The search from inside, for tests that check it in every reachable state.

pub use crate::access::{Measure, WayIn, standing_for_a_task};
pub use crate::bits::Bits;
pub use crate::problem::{Node, Problem};
pub use crate::search::Space;
pub use crate::space::{TENTH, UnitSpace};
