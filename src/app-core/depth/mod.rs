//! The depth profile as geometry: time to the right, depth downward.
//!
//! Depth is the number of parts that are off or eased while a step runs. Pure: seconds
//! and counts in, corners in drawing units out. The picture is drawn elsewhere.

mod chart;
mod floors;
mod open;
mod outline;
mod profile;
#[cfg(test)]
mod tests;

pub use self::chart::{Chart, Flag, flags};
pub use self::profile::{Floor, Profile, Span};
