//! A booked entry as a calendar file (RFC 5545).
//!
//! Lines end in CRLF and are folded at 75 octets (3.1); backslash, semicolon,
//! comma and line break are escaped in text (3.3.11); times are in UTC (3.3.5,
//! form 2), so that no time zone has to be described. UID and DTSTAMP are
//! required of every event (3.6.1).

use std::fmt::Write;

use super::when::civil;
use lidoff_i18n::strip_soft_hyphens;

/// The longest line, in octets, without its line break (3.1).
const LONGEST: usize = 75;

/// A calendar entry.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CalendarEntry {
    /// Its permanent id, unique in every calendar.
    pub uid: String,
    /// When the entry was made: ms since 1970, UTC.
    pub made_ms: i64,
    /// When it begins: ms since 1970, UTC.
    pub begins_ms: i64,
    /// How long it takes, s.
    pub seconds: i64,
    /// Its title, one line.
    pub summary: String,
    /// Its location; empty if unknown.
    pub place: String,
    /// Its description.
    pub description: String,
}

/// The entry as a calendar of one event.
pub fn calendar(entry: &CalendarEntry) -> String {
    let ends_ms = entry
        .begins_ms
        .saturating_add(entry.seconds.saturating_mul(1000));
    let mut text = String::new();
    let mut line = |name: &str, value: &str| push(&mut text, &format!("{name}:{value}"));
    line("BEGIN", "VCALENDAR");
    line("VERSION", "2.0");
    line("PRODID", "-//Lidoff//Lidoff//EN");
    line("BEGIN", "VEVENT");
    line("UID", &escaped(&entry.uid));
    line("DTSTAMP", &utc(entry.made_ms));
    line("DTSTART", &utc(entry.begins_ms));
    line("DTEND", &utc(ends_ms));
    line("SUMMARY", &escaped(&entry.summary));
    if !entry.place.is_empty() {
        line("LOCATION", &escaped(&entry.place));
    }
    line("DESCRIPTION", &escaped(&entry.description));
    line("END", "VEVENT");
    line("END", "VCALENDAR");
    text
}

/// "20261125T140000Z".
fn utc(ms: i64) -> String {
    let (year, month, day, minute) = civil(ms.div_euclid(60_000));
    let second = ms.div_euclid(1000).rem_euclid(60);
    format!(
        "{year:04}{month:02}{day:02}T{:02}{:02}{second:02}Z",
        minute / 60,
        minute % 60
    )
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for letter in strip_soft_hyphens(text).chars() {
        match letter {
            '\\' | ';' | ',' => {
                out.push('\\');
                out.push(letter);
            }
            '\n' => out.push_str("\\n"),
            // Other control characters may not be in a text (3.1, TSAFE-CHAR).
            letter if letter.is_control() && letter != '\t' => {}
            letter => out.push(letter),
        }
    }
    out
}

/// Appends a line, folded: the rest continues after a line break and a space, and no
/// character is split.
fn push(text: &mut String, line: &str) {
    let mut room = LONGEST;
    for letter in line.chars() {
        if letter.len_utf8() > room {
            text.push_str("\r\n ");
            room = LONGEST - 1;
        }
        text.push(letter);
        room -= letter.len_utf8();
    }
    text.push_str("\r\n");
}

/// The description of an entry: one line for each list that is not empty.
pub fn description(lists: &[(&str, &[String])]) -> String {
    let mut text = String::new();
    for (title, lines) in lists.iter().filter(|(_, lines)| !lines.is_empty()) {
        // Writing to a string does not fail.
        let _ = writeln!(text, "{title}: {}", lines.join("; "));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn entry() -> CalendarEntry {
        CalendarEntry {
            uid: "1793692200000-000a11ce@lidoff".into(),
            made_ms: 1_793_692_200_000,
            begins_ms: 1_796_112_000_000,
            seconds: 5700,
            summary: "TM-0007: Perch 22".into(),
            place: "Thornmere, Wharf Street; side door".into(),
            description: "Tasks: Replace: Fan\nBack\\slash\nScharnier\u{ad}abdeckung".into(),
        }
    }

    /// The lines with their folds undone, as RFC 5545, 3.1 says to.
    fn unfolded(text: &str) -> Vec<String> {
        let whole = text.replace("\r\n ", "");
        whole.split("\r\n").map(str::to_owned).collect()
    }

    #[test]
    fn it_is_an_event_of_one_calendar_in_utc() {
        // The times as `date -u -d @… +%Y%m%dT%H%M%SZ` prints them.
        let lines = unfolded(&calendar(&entry()));
        assert_eq!(lines.first().map(String::as_str), Some("BEGIN:VCALENDAR"));
        for line in [
            "VERSION:2.0",
            "UID:1793692200000-000a11ce@lidoff",
            "DTSTAMP:20261103T075000Z",
            "DTSTART:20261201T080000Z",
            "DTEND:20261201T093500Z",
            "SUMMARY:TM-0007: Perch 22",
        ] {
            assert!(lines.iter().any(|one| one == line), "{line} in {lines:#?}");
        }
        assert_eq!(lines[lines.len() - 2..], ["END:VCALENDAR", ""]);
    }

    #[test]
    fn commas_semicolons_backslashes_and_line_breaks_are_escaped() {
        let lines = unfolded(&calendar(&entry()));
        let has = |line: &str| lines.iter().any(|one| one == line);
        assert!(has("LOCATION:Thornmere\\, Wharf Street\\; side door"));
        assert!(has(
            "DESCRIPTION:Tasks: Replace: Fan\\nBack\\\\slash\\nScharnierabdeckung"
        ));
    }

    #[test]
    fn no_line_is_longer_than_75_octets_and_no_letter_is_torn() {
        let mut long = entry();
        long.description = "Prüfe ½ Öse, dann … ".repeat(40);
        let text = calendar(&long);
        assert!(text.split("\r\n").all(|line| line.len() <= 75));
        assert!(
            text.split("\r\n").any(|line| line.len() > 70),
            "it is folded late"
        );
        assert!(!text.replace("\r\n", "").contains(['\r', '\n']));
        let written = format!("DESCRIPTION:{}", escaped(&long.description));
        assert!(
            unfolded(&text).contains(&written),
            "nothing is lost by folding"
        );
    }

    #[test]
    fn a_list_without_lines_is_not_described() {
        let tools = ["Cross driver 2".to_owned(), "Spudger".to_owned()];
        let written = description(&[("Tools", &tools), ("Spares", &[])]);
        assert_eq!(written, "Tools: Cross driver 2; Spudger\n");
    }
}
