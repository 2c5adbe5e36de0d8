//! One job as one JSON document, `lidoff-job/1`, for sharing, saving, and reading at
//! the desk.

use std::fmt;

use serde::Deserialize;
use serde_json::value::RawValue;

use lidoff_i18n::tr;
use lidoff_limits::{Exceeded, FAULTS_LISTED, JOB, JOB_EVENTS, JOB_ID};

use super::event::Event;
use super::job_id::JobId;
use super::log::{Log, QuarantinedRecord, Reading, json};

/// The only format that this version reads and writes.
pub const FORMAT: &str = "lidoff-job/1";

/// Why a document is not a valid job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DocumentError {
    /// It is not JSON.
    NotJson {
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
        /// What is wrong there.
        why: String,
    },
    /// It is larger than a job can be.
    TooLarge(Exceeded),
    /// It is JSON, but not a job of this format.
    OtherFormat {
        /// The format that it names, if it names one.
        named: Option<String>,
    },
    /// It says that it is a job, but something is missing or too much.
    Shape {
        /// What is wrong.
        why: String,
    },
}

impl fmt::Display for DocumentError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotJson { line, column, why } => f.write_str(&tr!(
                "This is not a complete JSON file (line {line}, column {column}: {why}). \
                 Share the job again from the device it was done on.",
                line,
                column,
                why
            )),
            Self::OtherFormat { named: Some(named) } => f.write_str(&tr!(
                "This is a “{named}” file, but a “{wanted}” file is needed. If its format \
                 is newer, update Lidoff.",
                named,
                wanted = FORMAT
            )),
            Self::OtherFormat { named: None } => f.write_str(&tr!(
                "This is not a job file: “format”: “{wanted}” is missing. Choose another \
                 file.",
                wanted = FORMAT
            )),
            Self::TooLarge(why) => f.write_str(&tr!(
                "This job file is too large to read: {why}. Choose another file.",
                why
            )),
            Self::Shape { why } => f.write_str(&tr!(
                "This job file cannot be read: {why}. \
                                                     Share the job again from the device it \
                                                     was done on.",
                why
            )),
        }
    }
}

impl std::error::Error for DocumentError {}

#[derive(Deserialize)]
struct Head {
    format: Option<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Read<'t> {
    #[serde(rename = "format")]
    _format: String,
    job: JobId,
    #[serde(borrow)]
    events: Vec<&'t RawValue>,
}

/// The document of a job, one line per event.
pub fn to_json(log: &Log) -> String {
    let events: Vec<String> = log.events().iter().map(json).collect();
    let job = serde_json::Value::from(log.job().as_str());
    format!(
        "{{\"format\": \"{FORMAT}\", \"job\": {job}, \"events\": [\n{}\n]}}\n",
        events.join(",\n")
    )
}

/// A text without the byte-order mark that some editors put before it.
pub fn without_mark(text: &str) -> &str {
    text.strip_prefix('\u{feff}').unwrap_or(text)
}

/// The job in a document. Single events that cannot be read (damaged, or of an unknown
/// form) are set aside, and the rest is read. If there are many of them, the last entry of
/// the list stands for all the others.
///
/// # Errors
/// When it is too large, not JSON, not of this format, or not of its shape.
pub fn from_json(text: &str) -> Result<(Log, Vec<QuarantinedRecord>), DocumentError> {
    let text = without_mark(text);
    JOB.check(text).map_err(DocumentError::TooLarge)?;
    let not_json = |error: serde_json::Error| DocumentError::NotJson {
        line: error.line(),
        column: error.column(),
        why: error.to_string(),
    };
    let shape = |why| DocumentError::Shape { why };
    let named = match serde_json::from_str::<Head>(text) {
        Ok(head) => head.format,
        // JSON, but no object, or a format that is no text.
        Err(error) if error.is_data() => None,
        Err(error) => return Err(not_json(error)),
    };
    if named.as_deref() != Some(FORMAT) {
        return Err(DocumentError::OtherFormat { named });
    }
    let read: Read = serde_json::from_str(text).map_err(|error| shape(error.to_string()))?;
    if !is_id(read.job.as_str()) {
        let most = JOB_ID;
        return Err(shape(tr!(
            "the job’s ID must be 1 to {most} letters, digits, dots and hyphens",
            most
        )));
    }
    if read.events.len() > JOB_EVENTS {
        let (count, most) = (read.events.len(), JOB_EVENTS);
        let why = tr!(
            "it has {count} events, and the limit is {most}",
            count,
            most
        );
        return Err(shape(why));
    }
    let mut reading = Reading::default();
    for (nth, event) in read.events.iter().map(|event| event.get()).enumerate() {
        let key = tr!("event {} of the document", nth + 1);
        let read = lidoff_catalog::json::read::<Event>(event);
        reading.add(key, event, read.map_err(|error| error.to_string()));
    }
    let (log, quarantined) = reading.finish(read.job);
    Ok((log, shortened(quarantined)))
}

/// An id is part of the keys in the stores and of the address of the job's screens.
fn is_id(id: &str) -> bool {
    let fits = |letter: char| letter.is_ascii_alphanumeric() || "-._".contains(letter);
    (1..=JOB_ID).contains(&id.len()) && id.chars().all(fits)
}

/// The first records, and one for all others.
fn shortened(mut quarantined: Vec<QuarantinedRecord>) -> Vec<QuarantinedRecord> {
    if quarantined.len() > FAULTS_LISTED {
        let others = quarantined.split_off(FAULTS_LISTED - 1);
        let texts: Vec<&str> = others.iter().map(|one| one.text.as_str()).collect();
        quarantined.push(QuarantinedRecord {
            key: tr!("and {} more", others.len()),
            text: format!("[{}]", texts.join(",")),
            why: tr!("They cannot be read either."),
            count: others.len(),
        });
    }
    quarantined
}
