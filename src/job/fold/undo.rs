//! Which events were undone, and by which.

use crate::event::{Event, EventId, EventKind};
use crate::log::Log;

/// For each event, the place of the undo that takes it out, if one does.
///
/// Reads from the end, so that when an undo is reached, it is known whether it was itself
/// undone.
pub(super) fn undone_by(events: &[Event]) -> Vec<Option<usize>> {
    let mut by = vec![None; events.len()];
    for at in (0..events.len()).rev() {
        if by[at].is_some() {
            continue;
        }
        if let Some(target) = undo_target(events, at)
            && by[target].is_none()
        {
            by[target] = Some(at);
        }
    }
    by
}

/// The index of the event that the undo at this index names.
pub(super) fn undo_target(events: &[Event], at: usize) -> Option<usize> {
    let EventKind::Undone { event } = &events[at].kind else {
        return None;
    };
    let target = events.binary_search_by_key(event, |one| one.id).ok()?;
    let can = target < at && !matches!(events[target].kind, EventKind::Opened(_));
    can.then_some(target)
}

/// Whether this event was undone.
pub fn is_undone(log: &Log, event: EventId) -> bool {
    let events = log.events();
    let at = events.binary_search_by_key(&event, |one| one.id);
    at.is_ok_and(|at| undone_by(events)[at].is_some())
}
