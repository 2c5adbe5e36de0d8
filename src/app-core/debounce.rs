//! Suppresses double taps, as from a knuckle or a wet glove. Pure.

/// A tap on Done this soon after the last one is a double tap: nobody reads and does a step
/// in that time, ms. Common practice, no source.
pub const BOUNCE_MS: i64 = 400;

/// Whether a tap on Done counts, if the last one was at `last_ms` by a monotonic clock.
pub const fn is_new_tap(last_ms: Option<i64>, now_ms: i64) -> bool {
    match last_ms {
        Some(last_ms) => now_ms.saturating_sub(last_ms) >= BOUNCE_MS,
        None => true,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bounced_tap_marks_no_second_step_done() {
        assert!(is_new_tap(None, 10));
        assert!(!is_new_tap(Some(1_000), 1_399));
        assert!(is_new_tap(Some(1_000), 1_400));
    }
}
