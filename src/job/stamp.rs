//! When something happened, and how much time passed between two stamps.
//!
//! No single clock on a phone can be trusted: the monotonic one stops while the
//! device sleeps, the wall clock jumps when it is set, and a new run of the page
//! restarts the monotonic one. So each stamp carries all of them, and
//! [`between`] decides which to believe and says why. Invariant: a span is never
//! negative.

use std::fmt;

use serde::{Deserialize, Serialize};

/// One run of the app: from loading the page to closing it. Drawn at random.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(transparent)]
pub struct RunId(pub u32);

impl fmt::Display for RunId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:08x}", self.0)
    }
}

/// A moment, as recorded by every clock of the device.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Stamp {
    /// Wall clock: ms since 1970-01-01 00:00 UTC.
    pub wall_ms: i64,
    /// Local time less UTC, minutes.
    pub offset_min: i16,
    /// Monotonic clock of this run, whole ms.
    pub mono_ms: i64,
    pub run: RunId,
    /// How long the page has been hidden in this run so far, by the wall clock,
    /// ms.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub hidden_ms: i64,
}

fn is_zero(ms: &i64) -> bool {
    *ms == 0
}

/// How much time lies between two stamps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Span {
    /// How long, ms; never negative.
    pub ms: i64,
    /// The basis of the span.
    pub kind: SpanKind,
}

/// The basis of a span.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SpanKind {
    /// One run, and its clocks agree.
    Steady,
    /// One run; the device slept while the page was hidden. The wall clock is
    /// believed.
    Slept,
    /// One run; the wall clock was set. The monotonic clock is believed, and
    /// with it as much of the difference as can have been sleep.
    ClockChanged {
        /// How far the wall clock was set forward (back when negative), ms.
        by_ms: i64,
    },
    /// The app was closed in between. Only the wall clock can tell.
    NewRun,
    /// Two runs, and the later stamp is the earlier by a few minutes: those of two devices
    /// whose clocks differ. No time is counted.
    ClocksApart,
    /// The later stamp is the earlier by the only clock that can tell: no time
    /// is counted.
    RanBackwards,
}

/// Tolerance between two clocks, which drift apart and are adjusted over the network: this
/// much, or a thousandth of the span, is not reported. Common practice, no source.
const TOLERANCE_MS: i64 = 2_000;

/// How far apart the clocks of two devices may be without a report. Phones set their clocks
/// over the network, to seconds; a clock that is set by hand is often minutes off. Common
/// practice, no source.
const CLOCKS_APART_MS: i64 = 5 * 60_000;

/// A hundred years: anything longer is a broken clock, and sums of spans must not overflow.
const LONGEST_MS: i64 = 100 * 366 * 24 * 3_600_000;

/// How much time lies between two stamps, the earlier first. No span is longer
/// than a hundred years.
pub fn between(earlier: &Stamp, later: &Stamp) -> Span {
    let span = by_the_clocks(earlier, later);
    Span {
        ms: span.ms.min(LONGEST_MS),
        ..span
    }
}

fn by_the_clocks(earlier: &Stamp, later: &Stamp) -> Span {
    let wall = later.wall_ms.saturating_sub(earlier.wall_ms);
    if earlier.run != later.run {
        return if wall < 0 {
            let kind = if wall >= -CLOCKS_APART_MS {
                SpanKind::ClocksApart
            } else {
                SpanKind::RanBackwards
            };
            Span { ms: 0, kind }
        } else {
            Span {
                ms: wall,
                kind: SpanKind::NewRun,
            }
        };
    }
    let mono = later.mono_ms.saturating_sub(earlier.mono_ms);
    if mono < 0 {
        return Span {
            ms: 0,
            kind: SpanKind::RanBackwards,
        };
    }
    let ahead = wall.saturating_sub(mono);
    let tolerance = TOLERANCE_MS.max(mono / 1000);
    if (-tolerance..=tolerance).contains(&ahead) {
        return Span {
            ms: mono,
            kind: SpanKind::Steady,
        };
    }
    // A lead of the wall clock can be sleep only if the page was hidden.
    let hidden = later.hidden_ms.saturating_sub(earlier.hidden_ms).max(0);
    if ahead > 0 && hidden > 0 && ahead <= hidden.saturating_add(tolerance) {
        return Span {
            ms: wall,
            kind: SpanKind::Slept,
        };
    }
    let slept = ahead.clamp(0, hidden);
    Span {
        ms: mono.saturating_add(slept),
        kind: SpanKind::ClockChanged {
            by_ms: ahead.saturating_sub(slept),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const MINUTE: i64 = 60_000;

    fn stamp(run: u32, wall_min: i64, mono_min: i64, hidden_min: i64) -> Stamp {
        Stamp {
            wall_ms: 1_800_000_000_000 + wall_min * MINUTE,
            offset_min: 60,
            mono_ms: mono_min * MINUTE,
            run: RunId(run),
            hidden_ms: hidden_min * MINUTE,
        }
    }

    fn minutes(earlier: Stamp, later: Stamp) -> (i64, SpanKind) {
        let span = between(&earlier, &later);
        (span.ms / MINUTE, span.kind)
    }

    #[test]
    fn while_the_clocks_agree_the_monotonic_clock_counts() {
        let mut later = stamp(1, 5, 5, 0);
        later.wall_ms += 1_500;
        assert_eq!(
            between(&stamp(1, 0, 0, 0), &later),
            Span {
                ms: 5 * MINUTE,
                kind: SpanKind::Steady
            }
        );
    }

    #[test]
    fn time_asleep_in_the_pocket_is_counted() {
        let asked = minutes(stamp(1, 0, 0, 0), stamp(1, 25, 5, 21));
        assert_eq!(asked, (25, SpanKind::Slept));
    }

    #[test]
    fn a_device_whose_monotonic_clock_runs_through_sleep_is_steady() {
        let asked = minutes(stamp(1, 0, 0, 0), stamp(1, 25, 25, 20));
        assert_eq!(asked, (25, SpanKind::Steady));
    }

    #[test]
    fn a_clock_set_forward_while_visible_does_not_lengthen_the_job() {
        let asked = minutes(stamp(1, 0, 0, 0), stamp(1, 65, 5, 0));
        let by_ms = 60 * MINUTE;
        assert_eq!(asked, (5, SpanKind::ClockChanged { by_ms }));
    }

    #[test]
    fn a_clock_set_back_does_not_shorten_the_job() {
        let asked = minutes(stamp(1, 0, 0, 0), stamp(1, -55, 5, 0));
        let by_ms = -60 * MINUTE;
        assert_eq!(asked, (5, SpanKind::ClockChanged { by_ms }));
    }

    #[test]
    fn sleep_and_a_clock_set_forward_are_separated_as_far_as_possible() {
        let asked = minutes(stamp(1, 0, 0, 0), stamp(1, 85, 5, 20));
        let by_ms = 60 * MINUTE;
        assert_eq!(asked, (25, SpanKind::ClockChanged { by_ms }));
    }

    #[test]
    fn after_a_restart_the_wall_clock_counts() {
        let asked = minutes(stamp(1, 0, 90, 0), stamp(2, 30, 0, 0));
        assert_eq!(asked, (30, SpanKind::NewRun));
    }

    #[test]
    fn a_wall_clock_that_ran_backwards_over_a_restart_counts_nothing() {
        let asked = minutes(stamp(1, 0, 90, 0), stamp(2, -30, 0, 0));
        assert_eq!(asked, (0, SpanKind::RanBackwards));
    }

    #[test]
    fn two_devices_whose_clocks_differ_by_minutes_count_nothing_and_are_not_at_fault() {
        for behind_min in [1, 2, 5] {
            let asked = minutes(stamp(1, 0, 90, 0), stamp(2, -behind_min, 0, 0));
            assert_eq!(asked, (0, SpanKind::ClocksApart));
        }
        let asked = minutes(stamp(1, 0, 90, 0), stamp(2, -6, 0, 0));
        assert_eq!(asked, (0, SpanKind::RanBackwards));
    }

    #[test]
    fn the_furthest_stamps_do_not_overflow() {
        let mut earlier = stamp(1, 0, 0, 0);
        let mut later = earlier;
        earlier.wall_ms = i64::MIN;
        earlier.mono_ms = i64::MIN;
        later.wall_ms = i64::MAX;
        later.mono_ms = i64::MAX;
        assert_eq!(between(&earlier, &later).ms, LONGEST_MS);
        assert_eq!(between(&later, &earlier).ms, 0);
    }
}
