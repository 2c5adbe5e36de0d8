//! From names to indices: every id is found, or reported as unknown.
//!
//! The order of the file is kept: steps are numbered in the order in which they
//! stand in it. Lowering goes on past an unknown id with a stand-in index, so
//! that all of them are reported at once; [`check`](super::check()) lets no draft out
//! that has a fault.

mod formula;
mod lowering;
mod part;
mod step;

pub(super) use lowering::lower;
