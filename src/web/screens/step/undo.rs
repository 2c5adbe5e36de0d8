//! Taking the last step back.

use crate::state::App;
use lidoff_job::{EventId, What};

pub(super) fn undo(app: App, id: &str, event: EventId) {
    app.act(id, vec![What::Undone { event }], || {});
}
