//! Generations: of several tasks started one after another, only the result of the
//! latest is used.

use leptos::prelude::*;

/// Counts the tasks that were started.
#[derive(Clone, Copy)]
pub struct Generation(StoredValue<u32>);

impl Generation {
    /// No task started yet.
    pub fn new() -> Self {
        Self(StoredValue::new(0))
    }

    /// Starts a task and returns whether its result is still wanted. It is not once a later
    /// task has started or the screen that asked for it is gone.
    pub fn begin(self) -> impl Fn() -> bool + Copy + 'static {
        self.0.update_value(|begun| *begun = begun.wrapping_add(1));
        let mine = self.0.get_value();
        move || self.0.try_get_value() == Some(mine)
    }
}
