//! The commands, and how a failure is reported: one line for what went wrong, one
//! for each cause below it, and exit code 1.

use std::error::Error;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::{check, compare, plan, schema, sequence, times};

/// Plan, time and tally the opening and closing of one unit.
#[derive(Parser)]
#[command(name = "lidoff", version)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Check catalogs: report what is wrong, where, and how to fix it
    Check(check::Check),
    /// Plan tasks on a unit
    Plan(Box<plan::Args>),
    /// Solve a sequential ordering problem: find the cheapest order of its nodes
    Order(sequence::Args),
    /// Print the JSON Schema of the catalog file
    Schema,
    /// Compare actual and planned times of jobs
    Compare(compare::Args),
    /// Learn from finished jobs how long steps and elements take
    Times(times::Args),
}

/// Reads the arguments, runs the command and reports how it went.
pub fn run() -> ExitCode {
    let outcome: Result<(), Box<dyn Error>> = match Cli::parse().command {
        Command::Check(args) => return check::run(&args),
        Command::Schema => {
            schema::run();
            Ok(())
        }
        Command::Plan(args) => plan::run(&args),
        Command::Order(args) => sequence::run(&args),
        Command::Compare(args) => compare::run(&args).map_err(Into::into),
        Command::Times(args) => times::run(&args).map_err(Into::into),
    };
    match outcome {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("lidoff: {error}");
            let mut cause = error.source();
            while let Some(below) = cause {
                eprintln!("  because: {below}");
                cause = below.source();
            }
            ExitCode::FAILURE
        }
    }
}
