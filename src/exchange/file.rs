//! Names and contents of the files that go out.

use crate::job::{Job, Log, document, fold};

use super::report::report;

/// A file to save or share.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TextFile {
    /// Its name.
    pub name: String,
    /// What is in it.
    pub text: String,
}

/// A job as a document, named after its reference and unit.
///
/// # Errors
/// When the log holds something that JSON cannot say.
pub fn job_document(log: &Log) -> Result<TextFile, serde_json::Error> {
    Ok(TextFile {
        name: format!("{}.lidoff-job.json", stem(log, &fold(log))),
        text: document::to_json(log)?,
    })
}

/// The report of a visit, named after its reference and unit.
pub fn report_file(log: &Log) -> TextFile {
    let job = fold(log);
    TextFile {
        name: format!("{}.txt", stem(log, &job)),
        text: report(&job),
    }
}

/// "TM-0001-perch-22": letters and digits that any device takes for a name.
fn stem(log: &Log, job: &Job) -> String {
    let words = match &job.opened {
        Some(opened) if opened.reference.trim().is_empty() => {
            format!("{} {}", log.job(), opened.unit.id)
        }
        Some(opened) => format!("{} {}", opened.reference, opened.unit.id),
        None => log.job().to_string(),
    };
    let mut stem = String::new();
    for letter in words.chars() {
        if letter.is_alphanumeric() {
            stem.push(letter);
        } else if !stem.is_empty() && !stem.ends_with('-') {
            stem.push('-');
        }
    }
    let stem = stem.trim_end_matches('-');
    if stem.is_empty() {
        "job".to_owned()
    } else {
        stem.chars().take(60).collect()
    }
}
