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

/// A memo: a value that is recomputed when its source changes, and notifies its readers
/// only if it is different. Its machinery is compiled once, not once per type, which saves
/// a tenth of the module of the screens.
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

/// A value of any type, with its comparison.
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
    /// A slice computed by `read` from the signals that it reads.
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

    /// Reads the value by reference and subscribes to its changes.
    pub fn with<U>(self, look: impl FnOnce(&T) -> U) -> U {
        let part = self.memo.get();
        match part.value.downcast_ref::<T>() {
            Some(value) => look(value),
            None => unreachable!("a slice holds values of its own type"),
        }
    }
}

impl<T: Clone + PartialEq + Send + Sync + 'static> Slice<T> {
    /// The value; the caller is subscribed to its changes.
    pub fn get(self) -> T {
        self.with(T::clone)
    }

    /// The current value, without a subscription.
    pub fn get_untracked(self) -> T {
        untrack(|| self.get())
    }
}

impl<T: Clone + PartialEq + Send + Sync + 'static> From<Slice<T>> for Signal<T> {
    fn from(slice: Slice<T>) -> Self {
        Self::derive(move || slice.get())
    }
}

/// One state of a job. Two states are equal only if they are the same object: comparing
/// whole jobs would cost more than reading the slices again.
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

    /// The whole job; the caller is subscribed to every event.
    pub fn get(self) -> Arc<Job> {
        self.snapshot.get().0
    }

    /// The current job, without a subscription.
    pub fn get_untracked(self) -> Arc<Job> {
        self.snapshot.get_untracked().0
    }

    /// A slice of the job; its readers are notified when the slice changes.
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

    /// Records these events, and closes the form once they are stored.
    pub fn act_and_close(self, kinds: Vec<EventKind>, open: RwSignal<bool>) {
        self.act(kinds, move || {
            // The form may be gone with its step.
            let _gone = open.try_set(false);
        });
    }
}
