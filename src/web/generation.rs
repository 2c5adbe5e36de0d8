//! Generations: of several tasks started one after another, only the result of the
//! latest is used.

use leptos::prelude::*;

/// Counts what was begun.
#[derive(Clone, Copy)]
pub struct Generation(StoredValue<u32>);

impl Generation {
    /// Nothing was begun yet.
    pub fn new() -> Self {
        Self(StoredValue::new(0))
    }

    /// Begins one: whether it is still wanted. What the screen that asked for it
    /// took with it is not.
    pub fn begin(self) -> impl Fn() -> bool + Copy + 'static {
        self.0.update_value(|begun| *begun = begun.wrapping_add(1));
        let mine = self.0.get_value();
        move || self.0.try_get_value() == Some(mine)
    }
}
