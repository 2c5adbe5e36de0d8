//! Learned times as a file, `lidoff-times/1`: saved at the desk, read on a phone.
//!
//! A file is accepted whole or not at all. Anything missing, unknown or implausible is
//! refused with its position, because nobody would notice a wrong time in a plan.

use std::fmt;

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::Text;
use lidoff_i18n::tr;
use lidoff_limits::{Exceeded, LEARNED_TIMES};

use super::learned_times::{LearnedElement, LearnedStep, LearnedTimes};

/// The only format that this version reads and writes.
pub const FORMAT: &str = "lidoff-times/1";

/// A correction by more than this factor, up or down, is a fault in the file. Common
/// practice, no source.
const LARGEST_RATIO: f64 = 20.0;

/// Why a file is not valid learned times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimesError {
    /// It is larger than such a file can be.
    TooLarge(Exceeded),
    /// It is not JSON, or not of this shape.
    Unreadable {
        /// What is wrong, with line and column.
        why: String,
    },
    /// It does not name its format.
    NoFormat,
    /// It is of another format.
    OtherFormat {
        /// The format that it names.
        named: String,
    },
    /// One value is wrong.
    Invalid {
        /// Where, as a JSON path: `steps[3].n`.
        path: String,
        fault: ValueFault,
    },
}

/// What is wrong with one value.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ValueFault {
    /// A name is empty.
    Empty,
    /// A count is 0.
    Zero,
    /// A time is not above 0.
    NoTime,
    /// The two times are too far apart.
    FarApart,
    /// The same step or element comes a second time.
    Repeated,
}

impl fmt::Display for ValueFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::Empty => tr!("it must not be empty"),
            Self::Zero => tr!("it must be at least 1"),
            Self::NoTime => tr!("it must be above 0 s"),
            Self::FarApart => tr!(
                "it must be within a factor of {ratio} of “handbook_s”",
                ratio = LARGEST_RATIO
            ),
            Self::Repeated => tr!("it is in the file twice"),
        })
    }
}

impl fmt::Display for TimesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::TooLarge(why) => tr!(
                "This learned-times file is too large to read: {why}. Choose another file.",
                why
            ),
            Self::Unreadable { why } => tr!(
                "This learned-times file cannot be read: {why}. Save it again at the desk.",
                why
            ),
            Self::NoFormat => tr!(
                "This is not a learned-times file: “format”: “{wanted}” is missing. Choose another \
                 file.",
                wanted = FORMAT
            ),
            Self::OtherFormat { named } => tr!(
                "This is a “{named}” file, but a “{wanted}” file is needed. Choose another file.",
                named,
                wanted = FORMAT
            ),
            Self::Invalid { path, fault } => tr!(
                "This learned-times file has a wrong value at {path}: {fault}. Save it again at \
                 the desk.",
                path,
                fault
            ),
        })
    }
}

impl std::error::Error for TimesError {}

/// The head of all Lidoff files.
#[derive(Deserialize)]
struct Head {
    format: Option<String>,
}

#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct TimesFile {
    format: String,
    made: Text,
    jobs: u32,
    steps: Vec<LearnedStep>,
    elements: Vec<LearnedElement>,
}

fn unreadable(error: &serde_json::Error) -> TimesError {
    TimesError::Unreadable {
        why: error.to_string(),
    }
}

impl LearnedTimes {
    /// Reads the text of a file.
    ///
    /// # Errors
    /// When the text is not such a file, or a value in it cannot be right.
    ///
    /// ```
    /// use lidoff_estimate::LearnedTimes;
    ///
    /// let text = LearnedTimes::default().to_json();
    /// assert_eq!(LearnedTimes::from_json(&text), Ok(LearnedTimes::default()));
    ///
    /// let error = LearnedTimes::from_json("{\"format\": \"lidoff-times/1\"}").unwrap_err();
    /// assert!(error.to_string().contains("missing field `made` at line 1"));
    /// ```
    pub fn from_json(text: &str) -> Result<Self, TimesError> {
        LEARNED_TIMES.check(text).map_err(TimesError::TooLarge)?;
        // Check the format first: a file of another format has other fields.
        let head: Head = lidoff_catalog::json::read(text).map_err(|error| unreadable(&error))?;
        let named = head.format.ok_or(TimesError::NoFormat)?;
        if named != FORMAT {
            return Err(TimesError::OtherFormat { named });
        }
        let file: TimesFile =
            lidoff_catalog::json::read(text).map_err(|error| unreadable(&error))?;
        let times = Self {
            made: file.made,
            jobs: file.jobs,
            steps: file.steps,
            elements: file.elements,
        };
        times.validate()?;
        Ok(times)
    }

    /// The text of the file, with one line for each step or element.
    pub fn to_json(&self) -> String {
        format!(
            "{{\"format\": \"{FORMAT}\", \"made\": {}, \"jobs\": {}, \"steps\": [\n{}\n], \
             \"elements\": [\n{}\n]}}\n",
            serde_json::Value::from(self.made.as_str()),
            self.jobs,
            lines(&self.steps),
            lines(&self.elements)
        )
    }

    fn validate(&self) -> Result<(), TimesError> {
        let is_empty = self.steps.is_empty() && self.elements.is_empty();
        if self.jobs == 0 && !is_empty {
            return Err(invalid("jobs".to_owned(), ValueFault::Zero));
        }
        // In their order, so that a file of thousands is searched quickly.
        let mut known: Vec<&LearnedStep> = Vec::new();
        for (nth, one) in self.steps.iter().enumerate() {
            let at = |field: &str| format!("steps[{nth}].{field}");
            for (field, name) in [
                ("unit", one.unit.as_str()),
                ("step", one.step.as_str()),
                ("action", one.action.as_str()),
            ] {
                if name.trim().is_empty() {
                    return Err(invalid(at(field), ValueFault::Empty));
                }
            }
            match known.binary_search_by(|other| {
                let unit = other.unit.cmp(&one.unit);
                unit.then_with(|| other.step.cmp(&one.step))
            }) {
                Ok(_) => return Err(invalid(at("step"), ValueFault::Repeated)),
                Err(place) => known.insert(place, one),
            }
            validate_times(at, one.handbook_s, one.actual_s, one.n)?;
        }
        for (nth, one) in self.elements.iter().enumerate() {
            let at = |field: &str| format!("elements[{nth}].{field}");
            let same = |other: &LearnedElement| other.element == one.element;
            if self.elements[..nth].iter().any(same) {
                return Err(invalid(at("element"), ValueFault::Repeated));
            }
            validate_times(at, one.handbook_s, one.actual_s, one.n)?;
        }
        Ok(())
    }
}

const fn invalid(path: String, fault: ValueFault) -> TimesError {
    TimesError::Invalid { path, fault }
}

fn validate_times(
    at: impl Fn(&str) -> String,
    handbook_s: f64,
    actual_s: f64,
    n: u32,
) -> Result<(), TimesError> {
    for (field, seconds) in [("handbook_s", handbook_s), ("seen_s", actual_s)] {
        if !(seconds.is_finite() && seconds > 0.0) {
            return Err(invalid(at(field), ValueFault::NoTime));
        }
    }
    if !(1.0 / LARGEST_RATIO..=LARGEST_RATIO).contains(&(actual_s / handbook_s)) {
        return Err(invalid(at("seen_s"), ValueFault::FarApart));
    }
    if n == 0 {
        return Err(invalid(at("n"), ValueFault::Zero));
    }
    Ok(())
}

fn lines<T: Serialize>(all: &[T]) -> String {
    // Names and numbers always serialise.
    let lines = all.iter().filter_map(|one| serde_json::to_string(one).ok());
    lines.collect::<Vec<_>>().join(",\n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::format::Element;

    fn times() -> LearnedTimes {
        LearnedTimes {
            made: "2026-11-25 14:00".into(),
            jobs: 12,
            steps: vec![LearnedStep {
                unit: "recorder".into(),
                step: "w8".into(),
                action: "Turn out the two screws.".into(),
                handbook_s: 18.8,
                actual_s: 28.2,
                n: 12,
            }],
            elements: vec![LearnedElement {
                element: Element::ScrewOut,
                handbook_s: 8.0,
                actual_s: 10.0,
                n: 40,
            }],
        }
    }

    fn refused(text: &str) -> String {
        LearnedTimes::from_json(text).expect_err(text).to_string()
    }

    /// The message for the good file with one piece of it changed.
    fn refused_with(piece: &str, changed: &str) -> String {
        let text = times().to_json();
        assert!(text.contains(piece), "{piece} in {text}");
        refused(&text.replacen(piece, changed, 1))
    }

    #[test]
    fn a_file_that_was_written_reads_back_the_same() {
        let text = times().to_json();
        assert_eq!(LearnedTimes::from_json(&text), Ok(times()), "{text}");
        let none = LearnedTimes::default();
        assert_eq!(LearnedTimes::from_json(&none.to_json()), Ok(none));
    }

    #[test]
    fn a_file_of_an_earlier_version_is_still_read() {
        let text = r#"{"format": "lidoff-times/1", "made": "2026-11-25 14:00", "jobs": 12, "steps": [
{"unit":"recorder","step":"w8","action":"Turn out the two screws.","handbook_s":18.8,"seen_s":28.2,"n":12}
], "elements": [
{"element":"screw-out","handbook_s":8,"seen_s":10,"n":40}
]}"#;
        assert_eq!(LearnedTimes::from_json(text), Ok(times()));
    }

    #[test]
    fn text_that_is_not_json_is_refused_with_line_and_column() {
        let message = refused("{\n\"format\": ");
        assert!(message.contains("cannot be read"), "{message}");
        assert!(message.contains("line 2 column"), "{message}");
        assert!(message.contains("Save it again at the desk"), "{message}");
        assert!(refused("[]").contains("cannot be read"));
    }

    #[test]
    fn a_file_without_a_format_or_of_another_format_is_refused() {
        assert!(refused("{}").contains("“format”: “lidoff-times/1” is missing"));
        let message = refused("{\"format\": \"lidoff-job/1\", \"job\": \"1\", \"events\": []}");
        assert!(
            message.contains("This is a “lidoff-job/1” file"),
            "{message}"
        );
        assert!(refused_with("lidoff-times/1", "lidoff-times/2").contains("lidoff-times/2"));
    }

    #[test]
    fn a_file_that_is_too_large_is_refused_with_the_limit() {
        for (text, limit) in [
            (" ".repeat(2_000_001), "the limit is 2.0 MB"),
            ("[".repeat(100_000), "deeper than the limit of 8"),
            (format!("[{}]", vec!["0"; 70_000].join(",")), "60000 values"),
            (format!("[\"{}\"]", "x".repeat(3_000)), "limit of 2 kB"),
        ] {
            let message = refused(&text);
            assert!(message.contains(limit), "{message}");
        }
    }

    #[test]
    fn a_missing_field_is_refused_with_its_name_and_line() {
        for (piece, field, line) in [
            ("\"made\": \"2026-11-25 14:00\", ", "made", 5),
            ("\"jobs\": 12, ", "jobs", 5),
            ("\"unit\":\"recorder\",", "unit", 2),
            ("\"step\":\"w8\",", "step", 2),
            ("\"action\":\"Turn out the two screws.\",", "action", 2),
            ("\"handbook_s\":18.8,", "handbook_s", 2),
            ("\"seen_s\":28.2,", "seen_s", 2),
            (",\"n\":12", "n", 2),
            ("\"element\":\"screw-out\",", "element", 4),
            (",\"n\":40", "n", 4),
        ] {
            let message = refused_with(piece, "");
            assert!(
                message.contains(&format!("missing field `{field}`")),
                "{message}"
            );
            assert!(message.contains(&format!("at line {line} ")), "{message}");
        }
    }

    #[test]
    fn an_unknown_field_is_refused() {
        for (piece, changed) in [
            ("\"jobs\": 12", "\"jobs\": 12, \"site\": 1"),
            ("\"n\":12", "\"n\":12, \"site\": 1"),
            ("\"n\":40", "\"n\":40, \"site\": 1"),
        ] {
            let message = refused_with(piece, changed);
            assert!(message.contains("unknown field `site`"), "{message}");
        }
    }

    #[test]
    fn a_value_of_the_wrong_type_is_refused() {
        assert!(refused_with("\"n\":12", "\"n\":-1").contains("invalid value"));
        assert!(refused_with("\"n\":12", "\"n\":1.5").contains("invalid type"));
        assert!(refused_with("18.8", "\"long\"").contains("invalid type"));
        assert!(refused_with("screw-out", "screw-owt").contains("unknown variant `screw-owt`"));
    }

    #[test]
    fn an_empty_name_is_refused_with_its_place() {
        for (piece, field) in [
            ("\"recorder\"", "steps[0].unit"),
            ("\"w8\"", "steps[0].step"),
            ("\"Turn out the two screws.\"", "steps[0].action"),
        ] {
            let message = refused_with(piece, "\" \"");
            assert!(
                message.contains(&format!("{field}: it must not be empty")),
                "{message}"
            );
        }
    }

    #[test]
    fn a_count_of_zero_is_refused_with_its_place() {
        for (piece, changed, field) in [
            ("\"jobs\": 12", "\"jobs\": 0", "jobs"),
            ("\"n\":12", "\"n\":0", "steps[0].n"),
            ("\"n\":40", "\"n\":0", "elements[0].n"),
        ] {
            let message = refused_with(piece, changed);
            assert!(
                message.contains(&format!("{field}: it must be at least 1")),
                "{message}"
            );
        }
    }

    #[test]
    fn a_time_that_is_not_above_zero_is_refused_with_its_place() {
        for bad in ["0.0", "-4.0"] {
            let message = refused_with("28.2", bad);
            assert!(
                message.contains("steps[0].seen_s: it must be above 0 s"),
                "{message}"
            );
            let message = refused_with("18.8", bad);
            assert!(
                message.contains("steps[0].handbook_s: it must be above 0 s"),
                "{message}"
            );
        }
    }

    #[test]
    fn times_that_are_more_than_twenty_fold_apart_are_refused() {
        let message = refused_with("28.2", "900.0");
        assert!(
            message.contains("steps[0].seen_s: it must be within a factor of 20"),
            "{message}"
        );
        assert!(refused_with("28.2", "0.9").contains("within a factor of 20"));
    }

    #[test]
    fn a_step_or_an_element_that_comes_twice_is_refused() {
        let mut twice = times();
        twice.steps.push(twice.steps[0].clone());
        assert!(refused(&twice.to_json()).contains("steps[1].step: it is in the file twice"));
        let mut twice = times();
        twice.elements.push(twice.elements[0]);
        let message = refused(&twice.to_json());
        assert!(
            message.contains("elements[1].element: it is in the file twice"),
            "{message}"
        );
    }
}
