//! One job as one JSON document, `lidoff-job/1`, for sharing, saving, and reading at
//! the desk.

use std::fmt;

use serde::Deserialize;

use lidoff_i18n::tr;

use super::event::Event;
use super::job_id::JobId;
use super::log::{Log, QuarantinedRecord, json};

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
struct Read {
    #[serde(rename = "format")]
    _format: String,
    job: JobId,
    events: Vec<serde_json::Value>,
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

/// The job in a document. Single events that cannot be read (made by a newer
/// version, or damaged) are set aside, and the rest is read.
///
/// # Errors
/// When it is not JSON, not of this format, or not of its shape.
pub fn from_json(text: &str) -> Result<(Log, Vec<QuarantinedRecord>), DocumentError> {
    let value: serde_json::Value =
        serde_json::from_str(text).map_err(|error| DocumentError::NotJson {
            line: error.line(),
            column: error.column(),
            why: error.to_string(),
        })?;
    let shape = |error: serde_json::Error| DocumentError::Shape {
        why: error.to_string(),
    };
    let named = Head::deserialize(&value).ok().and_then(|head| head.format);
    if named.as_deref() != Some(FORMAT) {
        return Err(DocumentError::OtherFormat { named });
    }
    let read = Read::deserialize(value).map_err(shape)?;
    let mut log = Log::new(read.job);
    let mut quarantined = Vec::new();
    for (nth, value) in read.events.into_iter().enumerate() {
        let text = value.to_string();
        // Parse each event from its text, as the stores do, so that there is one parser.
        let kept = serde_json::from_str::<Event>(&text)
            .map_err(|error| error.to_string())
            .and_then(|event| log.append(event).map_err(|error| error.to_string()));
        if let Err(why) = kept {
            quarantined.push(QuarantinedRecord {
                key: tr!("event {} of the document", nth + 1),
                text,
                why,
            });
        }
    }
    Ok((log, quarantined))
}
