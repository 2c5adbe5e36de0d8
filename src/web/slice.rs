//! The job that is open on a screen, in slices.
//!
//! A screen is built once. Each of its widgets shows a slice of the job and updates
//! only when that slice changes, so an open disclosure, a half-typed note and the focus
//! survive while the log grows.

use std::any::Any;
use std::marker::PhantomData;
use std::sync::Arc;

use leptos::prelude::*;

use super::state::App;
use lidoff_job::{EventKind, Job};

/// A value that is read again when what it was read from has changed, and wakes its readers
/// only if it is another one then: a memo whose machinery is compiled once, and not once
/// for each type. On the screens of this app that is a tenth of their module.
pub struct Slice<T> {
    memo: Memo<Part>,
    of: PhantomData<fn() -> T>,
}

impl<T> Clone for Slice<T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T> Copy for Slice<T> {}

/// A value of some type, and how it is compared with another of that type.
#[derive(Clone)]
struct Part {
    value: Arc<dyn Any + Send + Sync>,
    is_same: fn(&dyn Any, &dyn Any) -> bool,
}

impl PartialEq for Part {
    fn eq(&self, other: &Self) -> bool {
        (self.is_same)(&*self.value, &*other.value)
    }
}

fn is_same<T: PartialEq + 'static>(one: &dyn Any, other: &dyn Any) -> bool {
    one.downcast_ref::<T>() == other.downcast_ref::<T>()
}

fn memo(read: Box<dyn Fn() -> Part + Send + Sync>) -> Memo<Part> {
    Memo::new(move |_| read())
}

impl<T: PartialEq + Send + Sync + 'static> Slice<T> {
    /// What `read` makes of the signals that it reads.
    pub fn new(read: impl Fn() -> T + Send + Sync + 'static) -> Self {
        let read = move || Part {
            value: Arc::new(read()),
            is_same: is_same::<T>,
        };
        Self {
            memo: memo(Box::new(read)),
            of: PhantomData,
        }
    }

    /// Looks at the value, and is woken when it changes.
    pub fn with<U>(self, look: impl FnOnce(&T) -> U) -> U {
        let part = self.memo.get();
        match part.value.downcast_ref::<T>() {
            Some(value) => look(value),
            None => unreachable!("a slice holds values of its own type"),
        }
    }
}

impl<T: Clone + PartialEq + Send + Sync + 'static> Slice<T> {
    /// The value; who asks is woken when it changes.
    pub fn get(self) -> T {
        self.with(T::clone)
    }

    /// The value as it is now.
    pub fn get_untracked(self) -> T {
        untrack(|| self.get())
    }
}

impl<T: Clone + PartialEq + Send + Sync + 'static> From<Slice<T>> for Signal<T> {
    fn from(slice: Slice<T>) -> Self {
        Self::derive(move || slice.get())
    }
}

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
    pub fn slice<T>(self, read: impl Fn(&Job) -> T + Send + Sync + 'static) -> Slice<T>
    where
        T: PartialEq + Send + Sync + 'static,
    {
        Slice::new(move || read(&self.get()))
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
