//! The clocks of the device, read together into a stamp.
//!
//! Within a run, the monotonic time of stamps never goes back, and the time for which
//! the page was hidden only grows. The span between two stamps is judged by
//! [`job::stamp::between`](lidoff_job::between).

use std::cell::Cell;

use js_sys::{Date, Math};

use super::browser;
use lidoff_app_core::display::format_time_of_day;
use lidoff_job::{RunId, Stamp};

struct Run {
    id: RunId,
    /// Hidden spans that are over, ms by the wall clock.
    hidden_ms: Cell<i64>,
    /// Wall clock at the beginning of a hidden span that is not over, ms.
    hidden_since: Cell<Option<i64>>,
}

thread_local! {
    static RUN: Run = Run::begin();
}

/// A stamp of the current moment.
pub fn now() -> Stamp {
    RUN.with(|run| {
        let wall_ms = wall_ms();
        Stamp {
            wall_ms,
            offset_min: offset_at(wall_ms),
            mono_ms: mono_ms(),
            run: run.id,
            hidden_ms: run.hidden_until(wall_ms),
        }
    })
}

/// Local time less UTC at a moment by the wall clock, min.
pub fn offset_at(wall_ms: i64) -> i16 {
    // Offsets are at most 14 hours.
    -Date::new(&(wall_ms as f64).into()).get_timezone_offset() as i16
}

/// The local time of day at a moment by the wall clock, as it is on that day: the night of a
/// clock change may lie between.
pub fn time_of_day(wall_ms: i64) -> String {
    format_time_of_day(wall_ms, offset_at(wall_ms))
}

/// This run of the app.
pub fn run() -> RunId {
    RUN.with(|run| run.id)
}

/// Starts counting the time that the page is hidden. Call it when the app starts; otherwise
/// the first stamp does.
pub fn watch() {
    RUN.with(|_| ());
}

fn wall_ms() -> i64 {
    Date::now() as i64
}

fn mono_ms() -> i64 {
    let performance = browser::window().ok().and_then(|it| it.performance());
    performance.map_or(0, |clock| clock.now() as i64)
}

impl Run {
    fn begin() -> Self {
        if let Ok(page) = browser::document() {
            browser::listen(&page, "visibilitychange", || {
                RUN.with(|run| run.seen(!browser::hidden(), wall_ms()));
            });
        }
        Self {
            id: RunId(draw()),
            hidden_ms: Cell::new(0),
            hidden_since: Cell::new(browser::hidden().then(wall_ms)),
        }
    }

    fn seen(&self, seen: bool, at_ms: i64) {
        if seen {
            self.hidden_ms.set(self.hidden_until(at_ms));
            self.hidden_since.set(None);
        } else if self.hidden_since.get().is_none() {
            self.hidden_since.set(Some(at_ms));
        }
    }

    fn hidden_until(&self, at_ms: i64) -> i64 {
        let since = self.hidden_since.get();
        // A clock that was set back must not reduce the hidden time.
        self.hidden_ms.get() + since.map_or(0, |since| (at_ms - since).max(0))
    }
}

/// A random number that no other run is likely to draw. It distinguishes two jobs with one
/// reference, and two tabs on one job.
fn draw() -> u32 {
    let mut bytes = [0; 4];
    let drawn = browser::window().ok().and_then(|it| it.crypto().ok());
    match drawn.map(|crypto| crypto.get_random_values_with_u8_array(&mut bytes)) {
        Some(Ok(_)) => u32::from_le_bytes(bytes),
        _ => (Math::random() * f64::from(u32::MAX)) as u32,
    }
}
