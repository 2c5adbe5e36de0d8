//! Learned times as a file, `lidoff-times/1`: made at the desk, laid over the
//! catalogs on a phone, and taken off again.
//!
//! A file says for each step and element what the handbook (or the catalog's
//! author) had and what was seen, so that everybody can judge it before it is
//! used. What is laid over is the *ratio* of the two: where a catalog's estimate
//! has changed since, the correction still holds. A step that was seen itself goes
//! before its elements; a step that its author measured is not touched by
//! elements.

use std::fmt;

use serde_json::Value;

use lidoff_catalog::format::{Element, StepId, Text};
use lidoff_catalog::model::{Catalog, Seen, Step};
use lidoff_i18n::{number, tr};

use super::estimate::Estimate;
use super::handbook;

/// The one format that this version reads and writes.
pub const FORMAT: &str = "lidoff-times/1";

/// A correction by more than this, up or down, is a fault in the file.
const MOST: f64 = 20.0;

/// Learned times.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Times {
    /// When it was made, as a person writes it.
    pub made: Text,
    /// From how many jobs.
    pub jobs: u32,
    /// Steps that were seen.
    pub steps: Vec<SeenStep>,
    /// Elements that were seen.
    pub elements: Vec<SeenElement>,
}

/// A step that was seen.
#[derive(Clone, Debug, PartialEq)]
pub struct SeenStep {
    /// Names the unit.
    pub unit: String,
    /// The step.
    pub step: StepId,
    /// What is done in it.
    pub action: Text,
    /// By the catalog, s.
    pub handbook_s: f64,
    /// As seen, s.
    pub seen_s: f64,
    /// How many times.
    pub n: u32,
}

/// An element that was seen.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SeenElement {
    /// The element.
    pub element: Element,
    /// By the handbook, s.
    pub handbook_s: f64,
    /// As seen, s.
    pub seen_s: f64,
    /// In how many steps.
    pub n: u32,
}

/// Why a file is not learned times.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum TimesError {
    /// It cannot be read.
    Unreadable {
        /// What is wrong, and where.
        why: String,
    },
    /// It is of another format.
    OtherFormat {
        /// The format that it names.
        named: String,
    },
    /// A time in it cannot be meant.
    Absurd {
        /// The step or element.
        of: String,
    },
}

impl fmt::Display for TimesError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Unreadable { why } => f.write_str(&tr!(
                "This file of times cannot be read: {why}. Make it again at the desk.",
                why
            )),
            Self::OtherFormat { named } => f.write_str(&tr!(
                "This is a “{named}” file, and a “{wanted}” file is wanted. Choose another.",
                named,
                wanted = FORMAT
            )),
            Self::Absurd { of } => f.write_str(&tr!(
                "The times of “{of}” cannot be meant: both must be above 0, and no further apart \
                 than {most} to 1. Make the file again at the desk.",
                of,
                most = MOST
            )),
        }
    }
}

impl std::error::Error for TimesError {}

fn unreadable(why: String) -> TimesError {
    TimesError::Unreadable { why }
}

// Read by hand: what a derived reader of these few fields weighs on a phone is
// more than the rest of this file.

fn word(of: &Value, name: &str) -> String {
    let word = of.get(name).and_then(Value::as_str);
    word.unwrap_or_default().to_owned()
}

fn count(of: &Value, name: &str) -> u32 {
    let count = of.get(name).and_then(Value::as_u64).unwrap_or(0);
    u32::try_from(count).unwrap_or(u32::MAX)
}

fn lines<'a>(of: &'a Value, name: &str) -> &'a [Value] {
    let lines = of.get(name).and_then(Value::as_array);
    lines.map(Vec::as_slice).unwrap_or_default()
}

/// What the handbook has and what was seen, s, of this step or element.
fn both(line: &Value, of: &str) -> Result<(f64, f64), TimesError> {
    let number = |name: &str| line.get(name).and_then(Value::as_f64).unwrap_or(0.0);
    let (handbook_s, seen_s) = (number("handbook_s"), number("seen_s"));
    let ratio = seen_s / handbook_s;
    if handbook_s > 0.0 && (1.0 / MOST..=MOST).contains(&ratio) {
        Ok((handbook_s, seen_s))
    } else {
        Err(TimesError::Absurd { of: of.to_owned() })
    }
}

impl Times {
    /// Learned times from so many jobs.
    pub fn new(made: Text, jobs: u32, steps: Vec<SeenStep>, elements: Vec<SeenElement>) -> Self {
        Self {
            made,
            jobs,
            steps,
            elements,
        }
    }

    /// The times in a file.
    ///
    /// # Errors
    /// When it is not such a file, or a time in it cannot be meant.
    pub fn from_json(text: &str) -> Result<Self, TimesError> {
        let file: Value =
            serde_json::from_str(text).map_err(|error| unreadable(error.to_string()))?;
        let named = word(&file, "format");
        if named.is_empty() {
            return Err(unreadable(tr!(
                "it does not say “format”: “{wanted}”",
                wanted = FORMAT
            )));
        }
        if named != FORMAT {
            return Err(TimesError::OtherFormat { named });
        }
        let mut times = Self::new(word(&file, "made"), count(&file, "jobs"), vec![], vec![]);
        for line in lines(&file, "steps") {
            let step = word(line, "step");
            let (handbook_s, seen_s) = both(line, &step)?;
            times.steps.push(SeenStep {
                unit: word(line, "unit"),
                step: StepId(step),
                action: word(line, "action"),
                handbook_s,
                seen_s,
                n: count(line, "n"),
            });
        }
        for line in lines(&file, "elements") {
            let name = word(line, "element");
            let (handbook_s, seen_s) = both(line, &name)?;
            // An element has the same name here as in a catalog.
            let element = serde_json::from_str(&Value::from(name).to_string())
                .map_err(|error| unreadable(error.to_string()))?;
            times.elements.push(SeenElement {
                element,
                handbook_s,
                seen_s,
                n: count(line, "n"),
            });
        }
        Ok(times)
    }

    /// The file: a line a step or element.
    pub fn to_json(&self) -> String {
        let quoted = |words: &str| Value::from(words).to_string();
        let tail = |handbook_s: f64, seen_s: f64, n: u32| {
            format!("\"handbook_s\":{handbook_s},\"seen_s\":{seen_s},\"n\":{n}}}")
        };
        let steps = self.steps.iter().map(|one| {
            format!(
                "{{\"unit\":{},\"step\":{},\"action\":{},{}",
                quoted(&one.unit),
                quoted(one.step.as_str()),
                quoted(&one.action),
                tail(one.handbook_s, one.seen_s, one.n)
            )
        });
        let elements = self.elements.iter().map(|one| {
            // A name of one word, the one thing that JSON cannot refuse.
            let name = serde_json::to_string(&one.element).unwrap_or_default();
            format!(
                "{{\"element\":{name},{}",
                tail(one.handbook_s, one.seen_s, one.n)
            )
        });
        format!(
            "{{\"format\": \"{FORMAT}\", \"made\": {}, \"jobs\": {}, \"steps\": [\n{}\n], \
             \"elements\": [\n{}\n]}}\n",
            quoted(&self.made),
            self.jobs,
            steps.collect::<Vec<_>>().join(",\n"),
            elements.collect::<Vec<_>>().join(",\n")
        )
    }

    /// What finished jobs have shown of this step of this unit, if they have shown
    /// anything.
    pub fn of(&self, unit: &str, step: &Step) -> Option<Seen> {
        let base = Estimate::of_step(&step.said).seconds;
        let itself = self
            .steps
            .iter()
            .find(|one| one.unit == unit && one.step == step.said.id);
        if let Some(SeenStep {
            handbook_s,
            seen_s,
            n,
            ..
        }) = itself
        {
            return Some(Seen {
                seconds: base * seen_s / handbook_s,
                n: *n,
            });
        }
        if step.said.measured.is_some() {
            return None;
        }
        let (mut seconds, mut least) = (base, None);
        for one in &step.said.elements {
            let found = self
                .elements
                .iter()
                .find(|seen| seen.element == one.element);
            let Some(seen) = found else { continue };
            let stands_s = f64::from(one.count) * handbook::entry(one.element).seconds;
            seconds += stands_s * (seen.seen_s / seen.handbook_s - 1.0);
            least = Some(least.map_or(seen.n, |n: u32| n.min(seen.n)));
        }
        least.map(|n| Seen { seconds, n })
    }

    /// Lays these times over a catalog, in place of any that lay there; how many
    /// of its steps that corrects.
    pub fn lay_over(&self, catalog: &mut Catalog) -> usize {
        let unit = catalog.unit().id.clone();
        let seen: Vec<_> = catalog
            .steps()
            .map(|(at, step)| (at, self.of(&unit, step)))
            .collect();
        let many = seen.iter().filter(|(_, seen)| seen.is_some()).count();
        for (at, seen) in seen {
            catalog.lay_over(at, seen);
        }
        many
    }
}

/// "handbook 40 s → seen 55 s (n = 12)".
pub fn words(handbook_s: f64, seen_s: f64, n: u32) -> String {
    tr!(
        "handbook {} → actual {} (n = {n})",
        short(handbook_s),
        short(seen_s),
        n
    )
}

/// Seconds: whole ones where there are many.
fn short(seconds: f64) -> String {
    if seconds < 9.95 {
        format!("{} s", number(seconds, 1))
    } else {
        format!("{} s", number(seconds, 0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn times() -> Times {
        let step = SeenStep {
            unit: "recorder".into(),
            step: "w8".into(),
            action: "Turn out the two screws.".into(),
            handbook_s: 18.8,
            seen_s: 28.2,
            n: 12,
        };
        let element = SeenElement {
            element: Element::ScrewOut,
            handbook_s: 8.0,
            seen_s: 10.0,
            n: 40,
        };
        Times::new("2026-11-25 14:00".into(), 12, vec![step], vec![element])
    }

    #[test]
    fn what_is_written_is_read_again() {
        let text = times().to_json();
        assert_eq!(Times::from_json(&text), Ok(times()), "{text}");
    }

    #[test]
    fn another_file_is_refused_in_words() {
        let told = |text: &str| Times::from_json(text).expect_err(text).to_string();
        assert!(told("{").contains("cannot be read"));
        assert!(told("{\"format\": \"lidoff-job/1\"}").contains("“lidoff-job/1”"));
        assert!(told("[]").contains("cannot be read"));
        for absurd in ["\"seen_s\":0.0", "\"seen_s\":-4.0", "\"seen_s\":900.0"] {
            let text = times().to_json().replace("\"seen_s\":28.2", absurd);
            assert!(told(&text).contains("w8"), "{text}");
        }
    }

    #[test]
    fn it_is_said_as_a_technician_reads_it() {
        assert_eq!(words(40.0, 55.2, 12), "handbook 40 s → seen 55 s (n = 12)");
        assert_eq!(words(2.4, 3.22, 5), "handbook 2.4 s → seen 3.2 s (n = 5)");
    }
}
