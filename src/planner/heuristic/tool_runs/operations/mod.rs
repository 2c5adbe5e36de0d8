//! The operations that may be left, and which come before which.

mod graph;
mod operation_set;
mod precedence;
mod remaining;

pub use graph::{MAX_OPERATIONS, OperationGraph};
pub use operation_set::OperationSet;
