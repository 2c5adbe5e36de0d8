//! Wall clock times as people write them.

/// Day and time of day where it was, "2026-11-03 08:10".
pub fn format_local_time(wall_ms: i64, offset_min: i16) -> String {
    let minutes = wall_ms
        .div_euclid(60_000)
        .saturating_add(i64::from(offset_min));
    let (year, month, day, minute) = civil(minutes);
    format!(
        "{year:04}-{month:02}-{day:02} {:02}:{:02}",
        minute / 60,
        minute % 60
    )
}

/// Year, month, day and minute of the day, of so many minutes since 1970.
///
/// Days are turned into a date by the civil-calendar algorithm that counts
/// 400-year eras from 1 March (H. Hinnant, "chrono-Compatible Low-Level Date
/// Algorithms"; from memory).
pub fn civil(minutes: i64) -> (i64, i64, i64, i64) {
    let (days, minute) = (minutes.div_euclid(1440), minutes.rem_euclid(1440));
    let day = days.saturating_add(719_468);
    let (era, day_of_era) = (day.div_euclid(146_097), day.rem_euclid(146_097));
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let month_from_march = (5 * day_of_year + 2) / 153;
    let day_of_month = day_of_year - (153 * month_from_march + 2) / 5 + 1;
    let month = if month_from_march < 10 {
        month_from_march + 3
    } else {
        month_from_march - 9
    };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    (year, month, day_of_month, minute)
}

/// A length of time: "42 s", "12 min", "1 h 05 min".
pub fn format_duration(seconds: f64) -> String {
    let seconds = seconds.max(0.0);
    if seconds < 59.5 {
        return format!("{seconds:.0} s");
    }
    let minutes = (seconds / 60.0).round() as i64;
    if minutes < 60 {
        format!("{minutes} min")
    } else {
        format!("{} h {:02} min", minutes / 60, minutes % 60)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates_are_right_at_leap_days_turns_of_year_and_before_1970() {
        // Seconds since 1970 as `date -u -d … +%s` prints them.
        let at = |seconds: i64| format_local_time(seconds * 1000, 0);
        assert_eq!(at(0), "1970-01-01 00:00");
        assert_eq!(at(951_782_400), "2000-02-29 00:00");
        assert_eq!(at(1_709_251_199), "2024-02-29 23:59");
        assert_eq!(at(1_767_225_599), "2025-12-31 23:59");
        assert_eq!(at(4_107_542_400), "2100-03-01 00:00");
        assert_eq!(at(-1), "1969-12-31 23:59");
    }

    #[test]
    fn the_time_of_day_is_that_of_the_place() {
        assert_eq!(format_local_time(1_767_225_599_000, 60), "2026-01-01 00:59");
        assert_eq!(
            format_local_time(1_767_225_599_000, -330),
            "2025-12-31 18:29"
        );
    }

    #[test]
    fn durations_are_shown_in_seconds_minutes_and_hours() {
        let written: Vec<String> = [-4.0, 42.4, 59.6, 725.0, 3900.0]
            .map(format_duration)
            .into();
        assert_eq!(written, ["0 s", "42 s", "1 min", "12 min", "1 h 05 min"]);
    }
}
