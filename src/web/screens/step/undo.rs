//! Taking the last step back.

use crate::state::App;
use lidoff_job::{EventId, EventKind};

pub(super) fn undo(app: App, id: &str, event: EventId) {
    app.act(id, vec![EventKind::Undone { event }], || {});
}
