//! Fasteners out against fasteners in, cables unplugged against cables plugged in,
//! hand-backs still open.
//!
//! Everything is computed from the steps that are done; what happened to single
//! fasteners comes from events. For each set:
//!
//! ```text
//! still out  = undone − done up
//! left over  = spares − lost − stripped, when above zero: a piece too many
//! left empty = lost + stripped − spares, when above zero: a place without one
//! ```
//!
//! A closed unit has nothing still out and nothing left over. A lost fastener or an
//! empty position needs a reason: a screw that nobody looked for may be loose in the
//! unit. A reason is an event of its own, or the note of the event that reports the
//! fastener.

mod set;
mod total;
mod unaccounted;

pub use set::SetTally;
pub use total::{Tally, tally};
pub use unaccounted::Unaccounted;
