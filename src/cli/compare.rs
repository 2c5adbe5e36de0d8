//! `lidoff compare`: actual against planned times of jobs.

use std::error::Error;
use std::fmt;
use std::path::{Path, PathBuf};

use lidoff_job::{DocumentError, Job, JobId, Log, QuarantinedRecord, from_json};
use lidoff_limits::JOB;
use lidoff_report::desk::{compare as compared, gather};
use lidoff_report::exchange::{describe, jobs_table, steps_table, values_table};

use crate::input::{read_text, unreadable};
use crate::print::print;

/// What to compare, and how to print it.
#[derive(clap::Args)]
pub struct Args {
    /// Job files (lidoff-job/1), as the app shares them
    #[arg(value_name = "JOB_FILE", required = true)]
    jobs: Vec<PathBuf>,
    /// Print CSV: one row for each job, for each time a step was done, or for each value
    /// that was written down
    #[arg(long, value_name = "TABLE")]
    csv: Option<CsvTable>,
}

/// A table that can be printed as CSV.
#[derive(Clone, Copy, clap::ValueEnum)]
enum CsvTable {
    Jobs,
    Steps,
    Values,
}

/// Why there is no comparison.
#[derive(Debug)]
pub enum CompareError {
    /// A file cannot be read.
    File(PathBuf, std::io::Error),
    /// A file is not a job.
    Document(PathBuf, DocumentError),
}

impl fmt::Display for CompareError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File(path, error) => f.write_str(&unreadable(path, error)),
            Self::Document(path, _) => write!(f, "{} is not a job file", path.display()),
        }
    }
}

impl Error for CompareError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            // Its text says why.
            Self::File(..) => None,
            Self::Document(_, error) => Some(error),
        }
    }
}

/// Reads the jobs, compares them and prints the comparison. What cannot be read goes
/// to the error output, and the rest is compared.
pub fn run(args: &Args) -> Result<(), CompareError> {
    let jobs = read_all(&args.jobs)?;
    let comparison = compared::compare(&jobs);
    let text = match args.csv {
        None => describe(&comparison),
        Some(CsvTable::Jobs) => jobs_table(&comparison),
        Some(CsvTable::Steps) => steps_table(&comparison),
        Some(CsvTable::Values) => values_table(&comparison),
    };
    print(text);
    Ok(())
}

/// The job in a file, and the events of it that cannot be read.
pub fn read(path: &Path) -> Result<(Log, Vec<QuarantinedRecord>), CompareError> {
    let text =
        read_text(path, JOB.bytes).map_err(|error| CompareError::File(path.to_owned(), error))?;
    from_json(&text).map_err(|error| CompareError::Document(path.to_owned(), error))
}

/// Reads every job, merges the files of one job, and warns of what cannot be read.
pub fn read_all(paths: &[PathBuf]) -> Result<Vec<(JobId, Job)>, CompareError> {
    let mut logs = Vec::new();
    for path in paths {
        let (log, quarantined) = read(path)?;
        warn(&path.display().to_string(), &quarantined);
        logs.push(log);
    }
    let (jobs, quarantined) = gather(logs);
    warn("two files of the same job", &quarantined);
    Ok(jobs)
}

/// Warns of what cannot be read.
pub fn warn(from: &str, quarantined: &[QuarantinedRecord]) {
    for corrupt in quarantined {
        if corrupt.count > 1 {
            eprintln!("lidoff: {from}: {} more events are left out", corrupt.count);
            continue;
        }
        eprintln!(
            "lidoff: {from}: {} is left out: {}",
            corrupt.key, corrupt.why
        );
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Parser)]
    #[command(name = "lidoff")]
    enum Command {
        Compare(Args),
    }

    #[test]
    fn a_comparison_without_a_job_file_is_a_usage_error_that_asks_for_one() {
        let refused = Command::try_parse_from(["lidoff", "compare"]).map(drop);
        let text = refused
            .expect_err("there is nothing to compare")
            .to_string();
        assert!(text.contains("<JOB_FILE>..."), "{text}");
        assert!(Command::try_parse_from(["lidoff", "compare", "a.json"]).is_ok());
    }
}
