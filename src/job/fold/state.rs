//! The state of a fold between two events.

use super::job::Job;
use super::uncounted::Uncounted;
use super::undo::undone_by;
use crate::event::Event;

pub(super) struct FoldState<'a> {
    pub(super) events: &'a [Event],
    pub(super) undone_by: Vec<Option<usize>>,
    pub(super) job: Job,
    /// Spans that end at or before this place are no work: the job was closed,
    /// and opened again by undoing that.
    pub(super) shut_until: usize,
    pub(super) in_hand_reliable: bool,
    pub(super) uncounted: Vec<Uncounted>,
}

impl<'a> FoldState<'a> {
    pub(super) fn new(events: &'a [Event]) -> Self {
        Self {
            events,
            undone_by: undone_by(events),
            job: Job::default(),
            shut_until: 0,
            in_hand_reliable: true,
            uncounted: Vec::new(),
        }
    }
}
