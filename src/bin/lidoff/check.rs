//! `lidoff check`: what is wrong with catalogs, where, and how to mend it.
//!
//! Faults go to standard error, one line each; a line of counts for each catalog
//! goes to standard output. Exit code 1 when any catalog cannot be used.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use lidoff::catalog::check::{Checked, examine_text};

/// What to check.
#[derive(clap::Args)]
pub struct Check {
    /// Catalog files.
    #[arg(required = true, value_name = "CATALOG")]
    catalogs: Vec<PathBuf>,
}

/// Checks each file, and goes on after one that is wrong.
pub fn run(check: &Check) -> ExitCode {
    let sound = check.catalogs.iter().filter(|file| one(file)).count();
    if sound == check.catalogs.len() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn one(file: &Path) -> bool {
    let name = file.display().to_string();
    let json = match std::fs::read_to_string(file) {
        Ok(json) => json,
        Err(error) => {
            eprintln!("error: {name} cannot be read: {error}.");
            return false;
        }
    };
    match examine_text(&name, &json) {
        Ok(Checked { catalog, warnings }) => {
            if !warnings.is_empty() {
                eprintln!("{warnings}");
            }
            println!(
                "{name}: {} parts, {} steps, {} fastenings, {} warnings",
                catalog.parts().len(),
                catalog.steps().len(),
                catalog.fastenings().len(),
                warnings.len()
            );
            true
        }
        Err(faults) => {
            eprintln!("{faults}");
            println!(
                "{name}: cannot be used, {} errors, {} warnings",
                faults.errors().count(),
                faults.warnings().count()
            );
            false
        }
    }
}
