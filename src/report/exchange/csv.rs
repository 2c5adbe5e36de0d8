//! Tables as CSV (RFC 4180): commas, CRLF, quotes doubled.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@`, or with one of a few
//! control characters, for a formula. Words in such a cell get an apostrophe before them;
//! numbers are written as numbers and need none. Where the decimal mark is a comma, a
//! spreadsheet splits lines at semicolons, quotes or not: a formula after a separator inside
//! a cell is guarded, too. (OWASP, "CSV Injection"; the zero byte is from OWASP ASVS 5.0,
//! 1.2.10.)

use std::fmt::Write;

use lidoff_i18n::strip_soft_hyphens;

/// A cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    Words(String),
    /// A number, with so many decimals.
    Number(f64, usize),
    /// Nothing.
    Empty,
}

impl Cell {
    /// A number, or nothing.
    pub fn number(value: Option<f64>, decimals: usize) -> Self {
        value.map_or(Self::Empty, |value| Self::Number(value, decimals))
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self::Words(words.to_owned())
    }
}

/// A table: its head, then its rows.
pub fn table(head: &[&str], rows: impl IntoIterator<Item = Vec<Cell>>) -> String {
    let mut text = String::new();
    let head = head.iter().map(|words| Cell::from(*words)).collect();
    for row in std::iter::once(head).chain(rows) {
        for (nth, cell) in row.iter().enumerate() {
            if nth > 0 {
                text.push(',');
            }
            push(&mut text, cell);
        }
        text.push_str("\r\n");
    }
    text
}

fn push(text: &mut String, cell: &Cell) {
    match cell {
        Cell::Empty => {}
        Cell::Number(value, decimals) if value.is_finite() => {
            let digits = format!("{value:.decimals$}");
            let is_zero = digits.chars().all(|digit| "-0.".contains(digit));
            // Write negative zero as zero.
            text.push_str(if is_zero {
                digits.trim_start_matches('-')
            } else {
                &digits
            });
        }
        // A spreadsheet reads the word for "no number" as words.
        Cell::Number(..) => text.push_str("n/a"),
        Cell::Words(words) => {
            let words = guarded(&strip_soft_hyphens(words));
            if words.contains(['"', ',', ';', '\t', '\r', '\n']) {
                // Writing to a string does not fail.
                let _ = write!(text, "\"{}\"", words.replace('"', "\"\""));
            } else {
                text.push_str(&words);
            }
        }
    }
}

/// Words of which no part is a formula.
fn guarded(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    if words.starts_with(['\t', '\r', '\n', '\0']) {
        text.push('\'');
    }
    let mut begins_cell = true;
    for letter in words.chars() {
        if begins_cell && STARTS_FORMULA.contains(&letter) {
            text.push('\'');
        }
        begins_cell = SEPARATORS.contains(&letter) || (begins_cell && letter == '"');
        text.push(letter);
    }
    text
}

/// Also in the wide forms of East Asian keyboards.
const STARTS_FORMULA: [char; 8] = ['=', '+', '-', '@', '＝', '＋', '－', '＠'];

/// What a spreadsheet may begin a new cell after; quotes may follow.
const SEPARATORS: [char; 7] = [',', ';', '\t', '\r', '\n', '|', '\0'];

#[cfg(test)]
mod tests {
    use super::*;

    fn line(cells: Vec<Cell>) -> String {
        table(&["a"], [cells]).split_off("a\r\n".len())
    }

    #[test]
    fn quotes_are_doubled_and_commas_and_line_breaks_kept_inside_quotes() {
        // RFC 4180, section 2, rules 5 to 7.
        let cells = vec![
            "plain".into(),
            "b,c".into(),
            "say \"ah\"".into(),
            "two\r\nlines".into(),
        ];
        assert_eq!(
            line(cells),
            "plain,\"b,c\",\"say \"\"ah\"\"\",\"two\r\nlines\"\r\n"
        );
    }

    #[test]
    fn a_cell_has_no_soft_hyphens() {
        let cell = "Scharnier\u{ad}abdeckung".into();
        assert_eq!(line(vec![cell]), "Scharnierabdeckung\r\n");
    }

    #[test]
    fn text_that_a_spreadsheet_would_run_is_guarded() {
        let cells = vec![
            "=1+1".into(),
            "+2".into(),
            "-x".into(),
            "@sum".into(),
            "\t=1".into(),
        ];
        assert_eq!(line(cells), "'=1+1,'+2,'-x,'@sum,\"'\t'=1\"\r\n");
        assert_eq!(line(vec!["=a,\"b\"".into()]), "\"'=a,\"\"b\"\"\"\r\n");
    }

    #[test]
    fn a_formula_after_a_separator_in_a_cell_is_guarded_where_lines_are_split_there() {
        for (words, cell) in [
            ("x;=1+1", "\"x;'=1+1\""),
            ("x\t@sum", "\"x\t'@sum\""),
            ("x,+1", "\"x,'+1\""),
            ("two\n=lines", "\"two\n'=lines\""),
            ("\u{0}=1", "'\u{0}'=1"),
            ("x;\"=1", "\"x;\"\"'=1\""),
            ("＝1+1", "'＝1+1"),
            ("4-5 = 6", "4-5 = 6"),
            ("tight; -2 mm", "\"tight; -2 mm\""),
        ] {
            assert_eq!(line(vec![words.into()]), format!("{cell}\r\n"));
        }
    }

    /// The cells of a line as a spreadsheet reads it that splits at this letter: quotes count
    /// only at the beginning of a cell.
    fn split_at(line: &str, separator: char) -> Vec<String> {
        let mut cells = vec![String::new()];
        let (mut is_quoted, mut letters) = (false, line.trim_end().chars().peekable());
        while let Some(letter) = letters.next() {
            let cell = cells.last_mut().expect("a cell");
            match letter {
                '"' if cell.is_empty() && !is_quoted => is_quoted = true,
                '"' if is_quoted && letters.peek() == Some(&'"') => {
                    cell.push('"');
                    letters.next();
                }
                '"' if is_quoted => is_quoted = false,
                letter if letter == separator && !is_quoted => cells.push(String::new()),
                letter => cell.push(letter),
            }
        }
        cells
    }

    #[test]
    fn no_spreadsheet_finds_a_formula_in_words_whatever_it_splits_lines_at() {
        let parts = [
            "=1", "+1", "-1", "@a", ";", ",", "\t", "\"", "x", " ", "'", "\r",
        ];
        for first in parts {
            for second in parts {
                for third in parts {
                    let words = format!("{first}{second}{third}");
                    let row = vec!["plain".into(), words.as_str().into(), Cell::Number(-1.5, 1)];
                    let written = line(row);
                    for separator in [',', ';', '\t', '|'] {
                        let cells = split_at(&written, separator);
                        let last = cells.last().map(String::as_str);
                        assert!(separator != ',' || last == Some("-1.5"), "{written}");
                        // The number of this line is no formula.
                        let words = cells.iter().filter(|cell| *cell != "-1.5");
                        // Space before a formula may be dropped.
                        let words = words.map(|cell| cell.trim_start_matches(['\t', '\r']));
                        let mut starts = words.filter_map(|cell| cell.chars().next());
                        assert!(
                            !starts.any(|start| "=+-@".contains(start)),
                            "{words:?}: {written:?} at {separator:?}",
                            words = format!("{first}{second}{third}")
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn a_number_below_zero_stays_a_number() {
        assert_eq!(line(vec![Cell::Number(-1.25, 1), Cell::Empty]), "-1.2,\r\n");
        let none = vec![Cell::Number(-0.04, 1), Cell::Number(f64::NAN, 1)];
        assert_eq!(line(none), "0.0,n/a\r\n");
    }
}
