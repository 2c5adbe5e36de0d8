//! How much Lidoff reads from outside. A text is checked against these limits before it is
//! parsed, so that a file of any size is refused at once instead of freezing the app.
//!
//! Each limit is at least ten times what Lidoff itself writes, and small enough that a
//! phone reads a file of that size in a few seconds. Common practice, no source.

use std::fmt;

use lidoff_i18n::{number, tr};

/// The limits of one kind of JSON file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SizeLimits {
    /// Size of the file, bytes.
    pub bytes: usize,
    /// How deep lists and objects are nested.
    pub depth: usize,
    /// Number of values: numbers, texts, lists and so on, without the names of fields.
    pub values: usize,
    /// Size of one text as it stands in the file, bytes.
    pub text: usize,
}

/// A job file (`lidoff-job/1`).
pub const JOB: SizeLimits = SizeLimits {
    bytes: 10_000_000,
    depth: 32,
    values: 500_000,
    text: 64_000,
};

/// A picture that is scaled down to a photo of a job, bytes.
pub const PHOTO: usize = 50_000_000;

/// Events in a job file.
pub const JOB_EVENTS: usize = 10_000;

/// An event of a newer version. It is kept as it is, and must not make the job's file exceed
/// the limits above.
pub const UNKNOWN_EVENT: SizeLimits = SizeLimits {
    bytes: 200_000,
    depth: JOB.depth - 4,
    values: 20_000,
    text: JOB.text,
};

/// The sequence number of an event is at most this much above that of the event before it.
/// Numbers are given one by one; gaps are left by events that could not be read. A file can
/// therefore not use up the numbers, and a job can always go on.
pub const SEQUENCE_GAP: u32 = 10_000;

/// Length of a job's id, bytes. It is part of every key in the stores.
pub const JOB_ID: usize = 100;

/// A file of learned times (`lidoff-times/1`).
pub const LEARNED_TIMES: SizeLimits = SizeLimits {
    bytes: 2_000_000,
    depth: 8,
    values: 60_000,
    text: 2_000,
};

/// A catalog.
pub const CATALOG: SizeLimits = SizeLimits {
    bytes: 4_000_000,
    depth: 64,
    values: 300_000,
    text: 64_000,
};

/// A file of records: jobs, catalogs, and photos as texts.
pub const BACKUP: SizeLimits = SizeLimits {
    bytes: 50_000_000,
    depth: JOB.depth,
    values: 5_000_000,
    text: 10_000_000,
};

/// The largest of these files, bytes.
pub const LARGEST_FILE: usize = BACKUP.bytes;

/// A sequential ordering problem for `lidoff order`, bytes.
pub const ORDERING: usize = 10_000_000;

/// Faults of one file that are listed one by one; the others are only counted.
pub const FAULTS_LISTED: usize = 20;

/// Entries of one kind in a catalog: parts, tools, options and so on. Indices have 16 bits.
pub const CATALOG_ENTRIES: usize = 5_000;

/// Steps in a catalog. Indices have 16 bits.
pub const CATALOG_STEPS: usize = 20_000;

/// Errors, and warnings, of one catalog that are listed one by one; its author corrects many
/// at a time.
pub const CATALOG_FAULTS: usize = 100;

/// Length of an address after `#` that can be a screen's, bytes.
pub const LINK: usize = 300;

/// What is too large about a text.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Exceeded {
    /// The text as a whole.
    Bytes { bytes: usize, most: usize },
    /// Its nesting.
    Depth { line: usize, most: usize },
    /// The number of its values.
    Values { line: usize, most: usize },
    /// One text in it.
    Text { line: usize, most: usize },
}

impl fmt::Display for Exceeded {
    /// Goes after a colon: what is wrong, and the limit.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::Bytes { bytes, most } => {
                let (size, most) = (megabytes(*bytes), megabytes(*most));
                tr!("it is {size} MB, and the limit is {most} MB", size, most)
            }
            Self::Depth { line, most } => tr!(
                "in line {line}, lists are nested deeper than the limit of {most}",
                line,
                most
            ),
            Self::Values { line, most } => tr!(
                "in line {line}, it exceeds the limit of {most} values",
                line,
                most
            ),
            Self::Text { line, most } => {
                let most = most / 1000;
                tr!(
                    "in line {line}, a text exceeds the limit of {most} kB",
                    line,
                    most
                )
            }
        })
    }
}

impl std::error::Error for Exceeded {}

/// A size in MB, with one decimal.
pub fn megabytes(bytes: usize) -> String {
    number(bytes as f64 / 1e6, 1)
}

impl SizeLimits {
    /// Whether a text is within these limits. Its syntax is not checked.
    ///
    /// # Errors
    /// With the first limit that it exceeds.
    ///
    /// ```
    /// use lidoff_limits::{Exceeded, JOB};
    ///
    /// assert_eq!(JOB.check("{\"events\": []}"), Ok(()));
    /// let deep = "[".repeat(40);
    /// assert_eq!(JOB.check(&deep), Err(Exceeded::Depth { line: 1, most: 32 }));
    /// ```
    pub fn check(&self, json: &str) -> Result<(), Exceeded> {
        if json.len() > self.bytes {
            let (bytes, most) = (json.len(), self.bytes);
            return Err(Exceeded::Bytes { bytes, most });
        }
        let (mut line, mut depth, mut values) = (1, 0usize, 1);
        let mut bytes = json.bytes();
        while let Some(byte) = bytes.next() {
            match byte {
                b'\n' => line += 1,
                b'[' | b'{' => {
                    depth += 1;
                    values += 1;
                }
                b']' | b'}' => depth = depth.saturating_sub(1),
                b',' => values += 1,
                b'"' => {
                    let before = bytes.len();
                    while let Some(byte) = bytes.next().filter(|byte| *byte != b'"') {
                        if byte == b'\\' {
                            bytes.next();
                        }
                    }
                    if before - bytes.len() > self.text + 1 {
                        let most = self.text;
                        return Err(Exceeded::Text { line, most });
                    }
                }
                _ => {}
            }
            if depth > self.depth {
                let most = self.depth;
                return Err(Exceeded::Depth { line, most });
            }
            if values > self.values {
                let most = self.values;
                return Err(Exceeded::Values { line, most });
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const SMALL: SizeLimits = SizeLimits {
        bytes: 60,
        depth: 2,
        values: 6,
        text: 10,
    };

    #[test]
    fn each_limit_is_reached_and_not_exceeded() {
        // One object, one list, three texts or numbers: five values of six.
        assert_eq!(SMALL.check("{\"a\": [1, 2, \"0123456789\"]}"), Ok(()));
        let bytes = |count: usize| SMALL.check(&" ".repeat(count));
        assert_eq!(bytes(60), Ok(()));
        assert_eq!(
            bytes(61),
            Err(Exceeded::Bytes {
                bytes: 61,
                most: 60
            })
        );
        let at = |json| SMALL.check(json).expect_err(json);
        assert_eq!(at("[\n[[]]]"), Exceeded::Depth { line: 2, most: 2 });
        assert_eq!(at("[1,1,\n1,1,1,1]"), Exceeded::Values { line: 2, most: 6 });
        assert_eq!(
            at("\n\"0123456789x\""),
            Exceeded::Text { line: 2, most: 10 }
        );
    }

    #[test]
    fn brackets_commas_and_quotes_in_a_text_are_letters() {
        assert_eq!(SMALL.check(r#"["[[[,\"{,", "\\", ",,,,,,,"]"#), Ok(()));
        // A text that never ends.
        assert_eq!(SMALL.check("[\"abc\\"), Ok(()));
    }

    #[test]
    fn a_text_that_is_too_large_is_refused_with_the_limit() {
        let bytes = Exceeded::Bytes {
            bytes: 44_000_000,
            most: 10_000_000,
        };
        assert_eq!(bytes.to_string(), "it is 44.0 MB, and the limit is 10.0 MB");
    }
}
