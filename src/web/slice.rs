//! The job that is open on a screen, in slices.
//!
//! A screen is built once. Each of its widgets shows a slice of the job, and is woken only
//! when that slice has changed: so an open fold, a half-typed note and the focus stay as
//! they are while the log grows.

use std::sync::Arc;

use leptos::prelude::*;

use super::state::App;
use lidoff_job::{EventKind, Job};

/// One state of a job. Two are equal only if they are the same one: to compare whole jobs
/// would cost more than to look.
#[derive(Clone, Default)]
struct Snapshot(Arc<Job>);

impl PartialEq for Snapshot {
    fn eq(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.0, &other.0)
    }
}

/// The job of a screen, for as long as the screen is there.
#[derive(Clone, Copy)]
pub struct OpenJob {
    app: App,
    id: StoredValue<String>,
    snapshot: Memo<Snapshot>,
}

impl OpenJob {
    /// Follows the job with this id. If it leaves the device, its last state stays until
    /// the screen has gone.
    pub fn follow(app: App, id: String) -> Self {
        let known = id.clone();
        let snapshot = Memo::new(move |last: Option<&Snapshot>| {
            let now = app.job(&known).map(Snapshot);
            now.or_else(|| last.cloned()).unwrap_or_default()
        });
        Self {
            app,
            id: StoredValue::new(id),
            snapshot,
        }
    }

    /// The job's id.
    pub fn id(self) -> String {
        self.id.get_value()
    }

    /// The whole job: who reads it is woken by every event.
    pub fn get(self) -> Arc<Job> {
        self.snapshot.get().0
    }

    /// The job as it stands now, for an answer that is not kept up to date.
    pub fn get_untracked(self) -> Arc<Job> {
        self.snapshot.get_untracked().0
    }

    /// A part of the job: who reads it is woken when the part has changed.
    pub fn slice<T>(self, read: impl Fn(&Job) -> T + Send + Sync + 'static) -> Memo<T>
    where
        T: PartialEq + Send + Sync + 'static,
    {
        Memo::new(move |_| self.snapshot.with(|snapshot| read(&snapshot.0)))
    }

    /// Records these events, and runs `then` once they are stored.
    pub fn act(self, kinds: Vec<EventKind>, then: impl FnOnce() + 'static) {
        self.id.with_value(|id| self.app.act(id, kinds, then));
    }

    /// Records one event.
    pub fn record(self, kind: EventKind) {
        self.act(vec![kind], || {});
    }

    /// Records these events, and closes what asked for them once they are stored.
    pub fn act_and_close(self, kinds: Vec<EventKind>, open: RwSignal<bool>) {
        self.act(kinds, move || {
            // It may have gone with its step.
            let _gone = open.try_set(false);
        });
    }
}
