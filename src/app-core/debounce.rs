//! Suppresses double taps, as from a knuckle or a wet glove. Pure.

/// A tap this soon after the last one is a double tap: nobody reads and does a step in that
/// time, ms. Common practice, no source.
pub const BOUNCE_MS: f64 = 400.0;

/// Whether a tap counts: it does not soon after the last tap, nor if it was made before the
/// button was shown, and so meant for the one before. All times are those of the input
/// events, ms: a slow phone handles a tap long after it was made.
pub fn is_new_tap(last_ms: Option<f64>, shown_ms: f64, tap_ms: f64) -> bool {
    tap_ms >= shown_ms && last_ms.is_none_or(|last_ms| tap_ms - last_ms >= BOUNCE_MS)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bounced_tap_marks_no_second_step_done() {
        assert!(is_new_tap(None, 0.0, 10.0));
        assert!(!is_new_tap(Some(1_000.0), 0.0, 1_399.0));
        assert!(is_new_tap(Some(1_000.0), 0.0, 1_400.0));
    }

    #[test]
    fn a_tap_made_before_the_next_step_was_shown_is_not_for_that_step() {
        // On a slow phone: the first tap's step is stored, and the next shown, at 3 s.
        assert!(!is_new_tap(Some(1_000.0), 3_000.0, 2_900.0));
        assert!(is_new_tap(Some(1_000.0), 3_000.0, 3_000.0));
    }
}
