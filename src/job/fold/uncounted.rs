//! Spans that were not counted as work, and what they belong to.

use crate::event::EventId;

/// A span that was not counted because the app was closed.
pub(super) struct Uncounted {
    pub(super) event: EventId,
    pub(super) ms: i64,
    pub(super) from_ms: i64,
    pub(super) to_ms: i64,
    pub(super) owner: SpanOwner,
}

/// The activity that a span of work belongs to.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum SpanOwner {
    /// The step in hand.
    StartedOperation,
    /// The step that was done as the so-manieth.
    Done(usize),
    /// No step.
    Nobody,
}
