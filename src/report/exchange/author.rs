//! Technicians' notes for catalog authors, as a table.

use lidoff_job::{Job, JobId};

use super::csv::table;
use super::when::format_local_time;

/// One row per note, as CSV; `None` if there are no notes.
pub fn author_notes(jobs: &[(JobId, Job)]) -> Option<String> {
    let head = [
        "unit",
        "revision",
        "step",
        "do",
        "note",
        "reference",
        "job",
        "written",
    ];
    let mut rows = Vec::new();
    for (id, job) in jobs {
        let Some(opened) = &job.opened else { continue };
        for note in &job.catalog_notes {
            let step = note.step.and_then(|number| job.step(number));
            let (name, action) =
                step.map_or(("", ""), |step| (step.step.as_str(), step.action.as_str()));
            rows.push(vec![
                opened.unit.id.as_str().into(),
                opened.unit.revision.as_str().into(),
                name.into(),
                action.into(),
                note.text.as_str().into(),
                opened.reference.as_str().into(),
                id.as_str().into(),
                format_local_time(note.at.wall_ms, note.at.offset_min)
                    .as_str()
                    .into(),
            ]);
        }
    }
    (!rows.is_empty()).then(|| table(&head, rows))
}
