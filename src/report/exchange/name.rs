//! File names: letters, digits and dashes, which every device accepts.

use lidoff_job::Job;

/// Longest name, in letters, without its ending.
const LONGEST: usize = 60;

/// "TM-0001-perch-22": reference and unit; `otherwise` where the job has no
/// reference.
pub(super) fn stem(job: &Job, otherwise: &str) -> String {
    let words = match &job.opened {
        Some(opened) if opened.reference.trim().is_empty() => {
            format!("{otherwise} {}", opened.unit.id)
        }
        Some(opened) => format!("{} {}", opened.reference, opened.unit.id),
        None => otherwise.to_owned(),
    };
    let words = words.split(|letter: char| !letter.is_alphanumeric());
    let words: Vec<&str> = words.filter(|word| !word.is_empty()).collect();
    words.join("-").chars().take(LONGEST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::setup::Configuration;
    use lidoff_job::{Opened, UnitRef};

    fn named(reference: &str) -> String {
        let opened = Opened {
            unit: UnitRef {
                id: "perch-22".into(),
                name: "Perch 22".into(),
                revision: "1".into(),
            },
            reference: reference.into(),
            site: String::new(),
            technician: String::new(),
            setup: Configuration::default(),
            tasks: Vec::new(),
            leave_by_ms: None,
            follows: None,
        };
        let mut job = Job::default();
        job.opened = Some(opened);
        stem(&job, "visit")
    }

    #[test]
    fn a_reference_with_slashes_and_dots_cannot_leave_its_folder() {
        assert_eq!(named("../TM/0001: *urgent*"), "TM-0001-urgent-perch-22");
    }

    #[test]
    fn a_job_without_a_reference_still_has_a_name() {
        assert_eq!(named("  "), "visit-perch-22");
        assert_eq!(
            stem(&Job::default(), "1793692200000-a11ce"),
            "1793692200000-a11ce"
        );
        assert_eq!(named(&"ö".repeat(200)).chars().count(), LONGEST);
    }
}
