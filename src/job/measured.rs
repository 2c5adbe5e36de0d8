//! How much time is certain to have passed between two stamps.
//!
//! A wait for safety must not end early, so no clock counts that could have been set. Only
//! the monotonic clocks of the runs count. What no run has measured (the app was closed,
//! the device slept) does not count: the wall clock alone cannot tell it from a clock that
//! was set forward.

use serde::{Deserialize, Serialize};

use crate::stamp::Stamp;

/// A new run of the app took up a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Restart {
    /// The last heartbeat of the run of the event before.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub alive: Option<Stamp>,
    /// When the new run took the job up.
    pub since: Stamp,
}

/// Time that is certain to have passed between two stamps, the earlier first, ms. If they
/// are of different runs, the restart between them says what each run has measured.
pub fn measured_ms(earlier: &Stamp, later: &Stamp, restart: Option<&Restart>) -> i64 {
    let in_run = |from: &Stamp, to: &Stamp| match from.run == to.run {
        true => to.mono_ms.saturating_sub(from.mono_ms).max(0),
        false => 0,
    };
    if earlier.run == later.run {
        return in_run(earlier, later);
    }
    restart.map_or(0, |Restart { alive, since }| {
        let before = alive.map_or(0, |alive| in_run(earlier, &alive));
        before.saturating_add(in_run(since, later))
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stamp::RunId;

    const MINUTE: i64 = 60_000;

    fn stamp(run: u32, wall_min: i64, mono_min: i64) -> Stamp {
        Stamp {
            wall_ms: 1_800_000_000_000 + wall_min * MINUTE,
            offset_min: 60,
            mono_ms: mono_min * MINUTE,
            run: RunId(run),
            hidden_ms: 0,
        }
    }

    #[test]
    fn only_what_a_run_has_measured_counts() {
        let begun = stamp(1, 0, 100);
        let hidden = |mut stamp: Stamp, min: i64| {
            stamp.hidden_ms = min * MINUTE;
            stamp
        };
        let restart = |alive, since| Some(Restart { alive, since });
        // After four minutes the page is reloaded, at once.
        let alive = Some(stamp(1, 4, 104));
        let cases = [
            ("the clocks agree", stamp(1, 5, 105), None, 5),
            ("set forward while it is seen", stamp(1, 65, 105), None, 5),
            ("set back while it is seen", stamp(1, -55, 105), None, 5),
            (
                "asleep in the pocket, or set forward while it was hidden",
                hidden(stamp(1, 25, 105), 21),
                None,
                5,
            ),
            (
                "the monotonic clock ran backwards",
                stamp(1, 5, 99),
                None,
                0,
            ),
            (
                "reloaded at once",
                stamp(2, 5, 1),
                restart(alive, stamp(2, 4, 0)),
                5,
            ),
            (
                "set forward by an hour, then reloaded",
                stamp(2, 65, 1),
                restart(alive, stamp(2, 64, 0)),
                5,
            ),
            (
                "set back by an hour, then reloaded",
                stamp(2, -55, 1),
                restart(alive, stamp(2, -56, 0)),
                5,
            ),
            (
                "reloaded, then set forward",
                stamp(2, 65, 1),
                restart(alive, stamp(2, 4, 0)),
                5,
            ),
            (
                "closed for twenty minutes",
                stamp(2, 25, 1),
                restart(alive, stamp(2, 24, 0)),
                5,
            ),
            (
                "closed, and no heartbeat was kept",
                stamp(2, 25, 1),
                restart(None, stamp(2, 24, 0)),
                1,
            ),
            (
                "the heartbeat is of yet another run",
                stamp(3, 25, 1),
                restart(Some(stamp(2, 20, 15)), stamp(3, 24, 0)),
                1,
            ),
            (
                "the heartbeat is from before the wait",
                stamp(2, 25, 1),
                restart(Some(stamp(1, -1, 99)), stamp(2, 24, 0)),
                1,
            ),
            (
                "the page was open before it took the job up",
                stamp(2, 5, 91),
                restart(alive, stamp(2, 4, 90)),
                5,
            ),
            ("nothing is known of the restart", stamp(2, 25, 20), None, 0),
        ];
        for (case, now, restart, minutes) in cases {
            let measured = measured_ms(&begun, &now, restart.as_ref());
            assert_eq!(measured, minutes * MINUTE, "{case}");
        }
    }
}
