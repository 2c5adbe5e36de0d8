//! A job as a file that another device or the desk can load.

use lidoff_job::{Log, document, fold};

use super::name::stem;

/// Name and text of a job's document: "TM-0001-perch-22.lidoff-job.json".
pub fn job_document(log: &Log) -> (String, String) {
    let stem = stem(&fold(log), log.job().as_str());
    (format!("{stem}.lidoff-job.json"), document::to_json(log))
}
