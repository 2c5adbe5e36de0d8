//! A job as a file that another device or the desk can load.

use lidoff_job::{EventKind, JobId, Log, document, fold};

use super::name::stem;

/// Name and text of a job's document: "TM-0001-perch-22.lidoff-job.json".
pub fn job_document(log: &Log) -> (String, String) {
    let stem = stem(&fold(log), log.job().as_str());
    (format!("{stem}.lidoff-job.json"), document::to_json(log))
}

/// A copy of a job that does not say who did it, where, and to whom it was handed over.
/// Notes, reasons and recorded values stay as they were written, and so do the reference,
/// the times and the time zone. Events of newer versions are left out: nobody here knows
/// what they say.
///
/// The copy has an id of its own. Otherwise, it would stand against the job itself on a
/// device that has both.
pub fn without_names(log: &Log) -> Log {
    let mut copy = Log::new(JobId(format!("{}-copy", log.job())));
    for event in log.events().iter().filter(|event| !event.is_unknown()) {
        let mut event = event.clone();
        match &mut event.kind {
            EventKind::Opened(opened) => {
                opened.technician.clear();
                opened.site.clear();
            }
            EventKind::HandedOver { to, .. } => to.clear(),
            _ => {}
        }
        // The ids are those of a log, so each is there once.
        let _is_new = copy.append(event);
    }
    copy
}
