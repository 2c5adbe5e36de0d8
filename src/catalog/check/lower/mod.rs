//! Lowering: resolves names to indices. Every id is found, or reported as unknown.
//!
//! Steps are numbered in file order. After an unknown id, lowering continues with a
//! placeholder index, so that all unknown ids are reported at once.
//! [`check`](super::check()) never returns a catalog with such a fault.

mod formula;
mod isolation;
mod lowering;
mod part;
mod step;

pub(super) use lowering::lower;
