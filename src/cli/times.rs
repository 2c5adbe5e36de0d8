//! `lidoff times`: learned times from finished jobs, as a file that phones load.

use std::path::PathBuf;

use lidoff_estimate::learned_times::describe_difference;
use lidoff_report::desk::learn;
use lidoff_report::exchange::when::format_local_time;

use crate::compare::{CompareError, read_all};

use crate::print::print;

/// What to learn from, and how to print it.
#[derive(clap::Args)]
pub struct Args {
    /// Job files (lidoff-job/1), as the app shares them
    #[arg(value_name = "JOB_FILE", required = true)]
    jobs: Vec<PathBuf>,
    /// Print as text instead of a lidoff-times/1 file
    #[arg(long)]
    words: bool,
}

/// Reads the jobs, learns from them and prints the learned times.
pub fn run(args: &Args) -> Result<(), CompareError> {
    let jobs = read_all(&args.jobs)?;
    // As of the latest thing that happened: the same jobs give the same file.
    let heads = jobs.iter().filter_map(|(_, job)| job.head);
    let latest = heads.map(|(_, at)| (at.wall_ms, at.offset_min)).max();
    let made = latest.map_or_else(String::new, |(wall_ms, offset)| {
        format_local_time(wall_ms, offset)
    });
    let times = learn(&jobs, made);
    if !args.words {
        print(times.to_json());
        return Ok(());
    }
    for one in &times.steps {
        let difference = describe_difference(one.handbook_s, one.actual_s, one.n);
        print(format_args!("{}, {}: {difference}\n", one.unit, one.action));
    }
    for one in &times.elements {
        let difference = describe_difference(one.handbook_s, one.actual_s, one.n);
        print(format_args!(
            "{}: {difference}\n",
            lidoff_estimate::handbook::name(one.element)
        ));
    }
    if times.steps.is_empty() && times.elements.is_empty() {
        print("Not enough data yet: a step needs three timings.\n");
    }
    Ok(())
}
