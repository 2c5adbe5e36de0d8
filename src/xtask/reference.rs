//! Other programs that work out what the tests compare with.

use std::path::PathBuf;

use anyhow::{Context as _, Result, ensure};

use crate::process::{command, run};
use crate::project;
use crate::tools::{self, Set};

/// `cargo xtask reference-ordering`
#[derive(clap::Args)]
pub struct OrderingArgs {
    /// The folder with the files (*.sop) of sequential ordering problems
    #[arg(env = "LIDOFF_SOP")]
    folder: PathBuf,
    /// Seconds for each solver on each file
    #[arg(long, env = "LIDOFF_SECONDS", default_value_t = 20)]
    seconds: u32,
}

/// Runs the ordering engine and other solvers on the same files.
pub fn ordering(args: &OrderingArgs) -> Result<()> {
    let listing = || format!("cannot list {}", args.folder.display());
    let mut files = Vec::new();
    for entry in args.folder.read_dir().with_context(listing)? {
        let path = entry.with_context(listing)?.path();
        if path.extension().is_some_and(|ending| ending == "sop") {
            files.push(path);
        }
    }
    ensure!(!files.is_empty(), "{} has no *.sop", args.folder.display());
    files.sort();
    let script = reference("ordering_compare.sh");
    run(command(script, &[&args.seconds.to_string()]).args(files))
}

/// Works out some of the least times of the planner's outside check again.
pub fn check_planner(count: u32) -> Result<()> {
    let count = count.to_string();
    planner(&["check", &count])
}

/// Works out all of the least times again and keeps them.
pub fn write_planner() -> Result<()> {
    tools::install(Set::Reference)?;
    planner(&["write"])
}

fn planner(args: &[&str]) -> Result<()> {
    let mut python = command(tools::reference_python(), &[]);
    run(python.arg(reference("planner_reference.py")).args(args))
}

/// Works out again, with the pinned NumPy and SciPy, what the tests of times compare with.
pub fn time() -> Result<()> {
    let place = project::root().join("target/reference-time");
    tools::python_environment(&place, &reference("time_requirements.txt"), &[])?;
    run(command(place.join("bin/python"), &[]).arg(reference("time_reference.py")))
}

fn reference(name: &str) -> PathBuf {
    project::root().join(project::REFERENCE_FOLDER).join(name)
}
