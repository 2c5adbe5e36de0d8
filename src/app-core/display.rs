//! Formatting of times, titles and signal words. Pure.

use lidoff_catalog::format::SignalWord;
use lidoff_i18n::{localize_static, tr, tr_noop};
use lidoff_job::Job;
use lidoff_report::exchange::when::civil;

/// A duration for planning: "40 s", "12 min", "1 h 05 min".
pub fn format_duration(seconds: f64) -> String {
    let seconds = seconds.max(0.0);
    if seconds < 89.5 {
        return format!("{} s", (seconds / 5.0).round().max(0.0) as i64 * 5);
    }
    let minutes = (seconds / 60.0).round() as i64;
    if minutes < 60 {
        return format!("{minutes} min");
    }
    format!("{} h {:02} min", minutes / 60, minutes % 60)
}

/// A running clock: "0:07", "12:40", "1:02:40".
pub fn format_clock(ms: i64) -> String {
    let seconds = ms.max(0) / 1000;
    let (hours, minutes, seconds) = (seconds / 3600, seconds / 60 % 60, seconds % 60);
    if hours > 0 {
        format!("{hours}:{minutes:02}:{seconds:02}")
    } else {
        format!("{minutes}:{seconds:02}")
    }
}

/// Minutes since 1970 as the local clock counts them.
const fn local_minutes(wall_ms: i64, offset_min: i16) -> i64 {
    wall_ms.div_euclid(60_000).saturating_add(offset_min as i64)
}

/// Time of day of a wall clock, "14:05". `offset_min` is local time less UTC.
pub fn format_time_of_day(wall_ms: i64, offset_min: i16) -> String {
    let (.., minute) = civil(local_minutes(wall_ms, offset_min));
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

/// The date of a wall clock, "2026-11-25".
pub fn format_date(wall_ms: i64, offset_min: i16) -> String {
    let (year, month, day, _) = civil(local_minutes(wall_ms, offset_min));
    let (year, month, day) = (
        format!("{year:04}"),
        format!("{month:02}"),
        format!("{day:02}"),
    );
    tr!("a date" => "{year}-{month}-{day}", year, month, day)
}

/// The next moment at which the local clock shows this time ("14:05"); `None` if the text
/// is not a time of day. `offset_at` is local time less UTC at a moment, min: the clocks may
/// change until then.
pub fn next_time_of_day(text: &str, now_ms: i64, offset_at: &dyn Fn(i64) -> i16) -> Option<i64> {
    let (hours, minutes) = text.split_once(':')?;
    let (hours, minutes): (i64, i64) = (hours.parse().ok()?, minutes.get(..2)?.parse().ok()?);
    if !(0..24).contains(&hours) || !(0..60).contains(&minutes) {
        return None;
    }
    const DAY: i64 = 86_400_000;
    let next = |offset_min: i16| {
        let offset = i64::from(offset_min) * 60_000;
        let midnight = (now_ms + offset).div_euclid(DAY) * DAY - offset;
        let at = midnight + (hours * 60 + minutes) * 60_000;
        if at <= now_ms { at + DAY } else { at }
    };
    Some(next(offset_at(next(offset_at(now_ms)))))
}

/// The title of a job: its reference and its unit.
pub fn job_title(job: &Job) -> String {
    match &job.opened {
        Some(opened) if opened.reference.is_empty() => opened.unit.name.clone(),
        Some(opened) => format!("{} · {}", opened.reference, opened.unit.name),
        None => tr!("Job with no opening record"),
    }
}

/// The signal word as text.
pub fn signal_word(word: SignalWord) -> &'static str {
    localize_static(match word {
        SignalWord::Danger => tr_noop!("DANGER"),
        SignalWord::Warning => tr_noop!("WARNING"),
        SignalWord::Caution => tr_noop!("CAUTION"),
        SignalWord::Notice => tr_noop!("NOTICE"),
    })
}

/// Makes the first letter upper case.
pub fn capitalize(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_time_is_said_in_seconds_and_a_long_one_in_hours() {
        assert_eq!(format_duration(42.0), "40 s");
        assert_eq!(format_duration(100.0), "2 min");
        assert_eq!(format_duration(3_900.0), "1 h 05 min");
    }

    #[test]
    fn a_running_clock_shows_hours_only_when_there_are_some() {
        assert_eq!(format_clock(7_900), "0:07");
        assert_eq!(format_clock(3_760_000), "1:02:40");
        assert_eq!(format_clock(-5), "0:00");
    }

    #[test]
    fn leap_days_and_turns_of_the_year_have_their_date() {
        assert_eq!(format_date(0, 0), "1970-01-01");
        assert_eq!(format_date(951_782_400_000, 0), "2000-02-29");
        assert_eq!(format_date(1_798_761_599_000, 0), "2026-12-31");
        assert_eq!(format_date(1_798_761_599_000, 60), "2027-01-01");
    }

    #[test]
    fn leave_by_is_today_or_if_that_has_passed_tomorrow() {
        let noon = 1_795_608_000_000;
        assert_eq!(format_time_of_day(noon, 60), "13:00");
        assert_eq!(
            next_time_of_day("14:30", noon, &|_| 60),
            Some(noon + 90 * 60_000)
        );
        assert_eq!(
            next_time_of_day("12:00", noon, &|_| 60),
            Some(noon + 23 * 3_600_000)
        );
        assert_eq!(next_time_of_day("25:00", noon, &|_| 60), None);
    }

    #[test]
    fn leave_by_is_right_on_the_nights_when_the_clocks_change() {
        // 2026-03-29 and 2026-10-25, 01:00 UTC, in central Europe.
        let (spring, autumn) = (1774746000000, 1792890000000);
        let offset_at = |at_ms: i64| {
            if (spring..autumn).contains(&at_ms) {
                120
            } else {
                60
            }
        };
        const HOUR: i64 = 3_600_000;
        for (change, hours) in [(spring, 2), (autumn, 3)] {
            // The change is at 02:00 or 03:00 by the local clock. "05:00" comes this long after.
            let now = change - 3 * HOUR;
            let at = next_time_of_day("05:00", now, &offset_at);
            let at = at.expect("a time of day");
            assert_eq!(format_time_of_day(at, offset_at(at)), "05:00");
            assert_eq!((at - change) / HOUR, hours);
            // Before the change, nothing is different.
            let at = next_time_of_day("01:30", now, &offset_at);
            let at = at.expect("a time of day");
            assert_eq!(format_time_of_day(at, offset_at(at)), "01:30");
            assert!(at < change);
        }
    }
}
