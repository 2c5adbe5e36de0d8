//! Values that a step asks for and the job keeps: serial numbers, counters, photos.

use serde::{Deserialize, Serialize};

use super::{RecordId, Text};

/// A value that is written down at a step.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// Id of the record.
    pub id: RecordId,
    /// What is written down ("serial number of the drive").
    pub text: Text,
    /// The kind of value.
    pub kind: RecordKind,
    /// The form of a serial number or text: `#` is a digit, `@` a letter, `*` anything, and
    /// every other character itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pattern: Option<Pattern>,
    /// Whether the step cannot be done without it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub required: bool,
    /// Of a part that is replaced: whether it is that of the old or of the new part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub old_or_new: Option<OldOrNew>,
}

/// The kind of a recorded value.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum RecordKind {
    /// A serial or seal number.
    Serial,
    /// A whole number that the unit shows: hours, pages.
    Counter,
    /// One of these.
    Choice(Vec<Text>),
    /// Words.
    Text,
    /// A photo.
    Photo,
}

/// Whether a value is that of the old or of the new part.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OldOrNew {
    /// Of the old part.
    Old,
    /// Of the new part; the record of the old one is shown beside it.
    New(RecordId),
}

/// The form of a value; all of the value must fit. Upper and lower case are the same.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(transparent)]
pub struct Pattern(pub String);

impl Pattern {
    /// Whether a value has this form.
    ///
    /// ```
    /// use lidoff_catalog::format::Pattern;
    ///
    /// let pattern = Pattern("SN-##@*".to_owned());
    /// assert!(pattern.matches("sn-12B"));
    /// assert!(pattern.matches("SN-12B/77"));
    /// assert!(!pattern.matches("SN-1B"));
    /// assert_eq!(pattern.example(), "SN-12A");
    /// ```
    pub fn matches(&self, value: &str) -> bool {
        // The places in the pattern that the value can have reached.
        let form: Vec<char> = self.0.chars().collect();
        let mut reached = vec![false; form.len() + 1];
        reached[0] = true;
        let skip_anything = |reached: &mut Vec<bool>| {
            for (at, one) in form.iter().enumerate() {
                reached[at + 1] |= *one == '*' && reached[at];
            }
        };
        skip_anything(&mut reached);
        for char in value.chars() {
            let mut next = vec![false; form.len() + 1];
            for (at, one) in form.iter().enumerate().filter(|(at, _)| reached[*at]) {
                match one {
                    '*' => next[at] = true,
                    '#' => next[at + 1] |= char.is_ascii_digit(),
                    '@' => next[at + 1] |= char.is_ascii_alphabetic(),
                    one => next[at + 1] |= one.eq_ignore_ascii_case(&char),
                }
            }
            skip_anything(&mut next);
            reached = next;
        }
        reached[form.len()]
    }

    /// A value of this form.
    pub fn example(&self) -> String {
        let (mut digits, mut letters) = (('1'..='9').cycle(), ('A'..='Z').cycle());
        let example = self.0.chars().filter_map(|one| match one {
            '#' => digits.next(),
            '@' => letters.next(),
            '*' => None,
            one => Some(one),
        });
        example.collect()
    }
}
