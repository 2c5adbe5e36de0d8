//! What can be asked on the command line, and how a failure is told: one line
//! for what went wrong, one for each cause below it, and exit code 1.

use std::error::Error;
use std::process::ExitCode;

use clap::{Parser, Subcommand};

use crate::{check, compare, order, plan, schema, times};

/// Plans, times and tallies the opening and closing of one unit.
#[derive(Parser)]
#[command(name = "lidoff", version, about)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Say what is wrong with catalogs, where, and how to mend it
    Check(check::Check),
    /// Plan some tasks on a unit
    Plan(Box<plan::Args>),
    /// Put the nodes of a sequential ordering problem in their cheapest order
    Order(order::Args),
    /// Print the JSON Schema of the catalog file
    Schema,
    /// Compare what jobs took with what they were planned to take
    Compare(compare::Args),
    /// Learn from jobs how long steps and elements take
    Times(times::Args),
}

/// Reads the arguments, runs the one command asked for and tells how it went.
pub fn run() -> ExitCode {
    let outcome: Result<(), Box<dyn Error>> = match Cli::parse().command {
        Command::Check(args) => return check::run(&args),
        Command::Schema => return schema::run(),
        Command::Plan(args) => plan::run(&args),
        Command::Order(args) => order::run(&args),
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
