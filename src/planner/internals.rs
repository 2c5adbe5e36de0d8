//! The inside of the search, for tests that check it in every reachable state.

pub use crate::access::{AccessMetric, AccessProblem, unit_with_part_off};
pub use crate::bit_set::BitSet;
pub use crate::cost::COST_PER_TENTH;
pub use crate::problem::{Problem, SearchState};
pub use crate::search::SearchProblem;
pub use crate::unit_search::UnitSearchProblem;
