//! `lidoff compare`: what jobs took against what they were planned to take.

use std::error::Error;
use std::fmt;
use std::path::{Path, PathBuf};

use lidoff_job::{Corrupt, DocumentError, Job, JobId, Log, from_json};
use lidoff_report::desk::{compare as compared, gather};
use lidoff_report::exchange::{jobs_table, steps_table, words};

use crate::say::say;

/// What to compare, and how to print it.
#[derive(clap::Args)]
pub struct Args {
    /// Job documents, lidoff-job/1
    #[arg(value_name = "JOB")]
    jobs: Vec<PathBuf>,
    /// Print CSV: one row a job, or one row a step
    #[arg(long, value_name = "TABLE")]
    csv: Option<Table>,
}

/// A table that can be printed as CSV.
#[derive(Clone, Copy, clap::ValueEnum)]
enum Table {
    Jobs,
    Steps,
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
            Self::File(path, _) => write!(f, "{} cannot be read", path.display()),
            Self::Document(path, _) => write!(f, "{} is not a job", path.display()),
        }
    }
}

impl Error for CompareError {
    fn source(&self) -> Option<&(dyn Error + 'static)> {
        match self {
            Self::File(_, error) => Some(error),
            Self::Document(_, error) => Some(error),
        }
    }
}

/// Reads the jobs, compares them and prints that. What was set aside goes to
/// the error output, and the rest is compared.
pub fn run(args: &Args) -> Result<(), CompareError> {
    let jobs = read_all(&args.jobs)?;
    let comparison = compared::compare(&jobs);
    let text = match args.csv {
        None => words(&comparison),
        Some(Table::Jobs) => jobs_table(&comparison),
        Some(Table::Steps) => steps_table(&comparison),
    };
    say(text);
    Ok(())
}

/// The job in a file, and what of it was set aside.
pub fn read(path: &Path) -> Result<(Log, Vec<Corrupt>), CompareError> {
    let text = std::fs::read_to_string(path)
        .map_err(|error| CompareError::File(path.to_owned(), error))?;
    from_json(&text).map_err(|error| CompareError::Document(path.to_owned(), error))
}

/// Reads every job, the files of one job as one; tells what was set aside.
pub fn read_all(paths: &[PathBuf]) -> Result<Vec<(JobId, Job)>, CompareError> {
    let mut logs = Vec::new();
    for path in paths {
        let (log, aside) = read(path)?;
        warn(&path.display().to_string(), &aside);
        logs.push(log);
    }
    let (jobs, aside) = gather(logs);
    warn("two files of one job", &aside);
    Ok(jobs)
}

/// Tells what was set aside.
pub fn warn(from: &str, aside: &[Corrupt]) {
    for corrupt in aside {
        eprintln!(
            "lidoff: {from}: {} was set aside: {}",
            corrupt.key, corrupt.why
        );
    }
}
