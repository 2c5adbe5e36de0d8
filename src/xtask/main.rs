//! `cargo xtask`: builds, serves, checks and measures Lidoff, and installs what that
//! needs. `make help` lists the usual tasks.

mod build;
mod check;
mod files;
mod icons;
mod lighthouse;
mod mutants;
mod offline;
mod onefile;
mod parity;
mod process;
mod project;
mod reference;
mod sbom;
mod serve;
mod size;
mod steps;
mod tools;

use std::path::PathBuf;
use std::process::ExitCode;

use anyhow::{Context as _, Result};
use clap::{Parser, Subcommand};

use crate::process::run;

/// Builds, serves, checks and measures Lidoff. Paths are relative to the top of the
/// repository.
#[derive(Parser)]
#[command(name = "cargo xtask")]
struct Cli {
    #[command(subcommand)]
    task: Task,
}

#[derive(Subcommand)]
enum Task {
    /// Build the app
    Build(build::Args),
    /// Finish a build that Trunk has staged; Trunk.toml calls this
    Finish {
        /// The folder with the staged build
        #[arg(env = "TRUNK_STAGING_DIR")]
        dist: PathBuf,
    },
    /// Compare the build with that of Trunk, where Trunk is installed
    TrunkParity(parity::Args),
    /// Put a built app into one HTML file that needs no server
    Onefile(onefile::Args),
    /// Serve a built app on this machine
    Serve(serve::Args),
    /// Install what a group of tasks needs and this machine lacks
    Tools {
        /// The group
        set: tools::Set,
    },
    /// Check everything, and report how long each part took
    Test,
    /// Run clippy, for this machine and for the browser
    Lint,
    /// Run the tests that need no browser
    NativeTest,
    /// Run the tests that need a browser, with arguments for them
    BrowserTest {
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        args: Vec<String>,
    },
    /// Drive the built app in a browser, with arguments for the tests
    E2e {
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        args: Vec<String>,
    },
    /// Print what comes over the air, file by file
    Size(size::Args),
    /// Measure planning, here and in the browser
    Bench,
    /// Measure planning in a browser whose processor is slowed
    PlanningSlowed,
    /// Run Lighthouse on a first visit
    Lighthouse(lighthouse::Args),
    /// Change the planner in one place at a time: does a test notice?
    Mutants(mutants::Args),
    /// Compare the ordering engine with other solvers
    ReferenceOrdering(reference::OrderingArgs),
    /// Work out the least times of the planner's outside check again
    ReferencePlanner,
    /// Work out again what the tests of times compare with
    ReferenceTime,
    /// List what the app and the command line are made of (CycloneDX)
    Sbom(sbom::Args),
    /// Draw the PNG icons from the SVG
    Icons,
}

fn main() -> ExitCode {
    match perform(&Cli::parse().task) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            let mut causes = error.chain();
            if let Some(first) = causes.next() {
                eprintln!("\nxtask: {first}");
            }
            for cause in causes {
                eprintln!("  because: {cause}");
            }
            ExitCode::FAILURE
        }
    }
}

fn perform(task: &Task) -> Result<()> {
    let root = project::root();
    std::env::set_current_dir(root).with_context(|| format!("cannot go to {}", root.display()))?;
    match task {
        Task::Build(args) => build::run(args),
        Task::Finish { dist } => build::finish_staged(dist),
        Task::TrunkParity(args) => parity::run(args).map(drop),
        Task::Onefile(args) => onefile::run(args),
        Task::Serve(args) => serve::run(args),
        Task::Tools { set } => tools::install(*set),
        Task::Test => check::run_all(),
        Task::Lint => check::lint(),
        Task::NativeTest => check::native_tests().iter_mut().try_for_each(run),
        Task::BrowserTest { args } => {
            tools::install(tools::Set::Test)?;
            run(&mut check::browser_test(args)?)
        }
        Task::E2e { args } => {
            tools::install(tools::Set::Test)?;
            run(&mut check::end_to_end(args)?)
        }
        Task::Size(args) => {
            tools::install(tools::Set::Test)?;
            size::run(args)
        }
        Task::Bench => check::bench(),
        Task::PlanningSlowed => {
            tools::install(tools::Set::Test)?;
            check::planning_slowed()
        }
        Task::Lighthouse(args) => lighthouse::run(args),
        Task::Mutants(args) => mutants::run(args),
        Task::ReferenceOrdering(args) => reference::ordering(args),
        Task::ReferencePlanner => reference::write_planner(),
        Task::ReferenceTime => reference::time(),
        Task::Sbom(args) => sbom::run(args),
        Task::Icons => icons::draw(),
    }
}
