//! Guards buttons whose second tap would do something else than the first.

use leptos::prelude::*;
use web_sys::Event;

use lidoff_app_core::debounce::is_new_tap;

/// The time of the last tap that counted.
#[derive(Clone, Copy)]
pub struct Taps(StoredValue<Option<f64>>);

impl Taps {
    /// No tap yet.
    pub fn new() -> Self {
        Self(StoredValue::new(None))
    }

    /// Whether this tap counts, on a button that was shown at that time.
    pub fn take(self, shown_ms: f64, tap: &Event) -> bool {
        let tap_ms = tap.time_stamp();
        let is_new = is_new_tap(self.0.get_value(), shown_ms, tap_ms);
        if is_new {
            self.0.set_value(Some(tap_ms));
        }
        is_new
    }
}

/// The time by the clock that stamps input events, ms.
pub fn input_clock_ms() -> f64 {
    // Without a stamp, every tap is later.
    Event::new("now").map_or(0.0, |now| now.time_stamp())
}
