//! Tables as CSV (RFC 4180): commas, CRLF, quotes doubled.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` (or a tab or
//! carriage return before them) for a formula. Words in such a cell get an
//! apostrophe before them; numbers are written as numbers and need none.

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
            let words = &*strip_soft_hyphens(words);
            let guard = if is_formula(words) { "'" } else { "" };
            if words.contains(['"', ',', '\r', '\n']) {
                // Writing to a string does not fail.
                let _ = write!(text, "\"{guard}{}\"", words.replace('"', "\"\""));
            } else {
                text.push_str(guard);
                text.push_str(words);
            }
        }
    }
}

fn is_formula(words: &str) -> bool {
    words.starts_with(['=', '+', '-', '@', '\t', '\r'])
}

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
        assert_eq!(line(cells), "'=1+1,'+2,'-x,'@sum,'\t=1\r\n");
        assert_eq!(line(vec!["=a,\"b\"".into()]), "\"'=a,\"\"b\"\"\"\r\n");
    }

    #[test]
    fn a_number_below_zero_stays_a_number() {
        assert_eq!(line(vec![Cell::Number(-1.25, 1), Cell::Empty]), "-1.2,\r\n");
        let none = vec![Cell::Number(-0.04, 1), Cell::Number(f64::NAN, 1)];
        assert_eq!(line(none), "0.0,n/a\r\n");
    }
}
