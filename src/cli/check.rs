//! `lidoff check`: what is wrong with catalogs, where, and how to mend it.
//!
//! Faults go to standard error, one line each; a line of counts for each catalog
//! goes to standard output; with `--report`, each unit's repairability instead.
//! Exit code 1 when any catalog cannot be used.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use lidoff_catalog::check::{Checked, examine_text};
use lidoff_catalog::format::OptionId;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_planner::Limits;
use lidoff_report::exchange::repairability::{repairability, text};

use crate::say::say;

/// What to check.
#[derive(clap::Args)]
pub struct Check {
    /// Catalog files.
    #[arg(required = true, value_name = "CATALOG")]
    catalogs: Vec<PathBuf>,
    /// Say of each unit how deep its parts lie, how fast they are got at, and
    /// which tools and fasteners it has, in the terms of EN 45554:2020
    #[arg(long)]
    report: bool,
    /// An option that the unit is fitted with, in the report; without any, the
    /// usual ones
    #[arg(long, value_name = "OPTION", requires = "report")]
    fitted: Vec<String>,
    /// Print the reports as JSON: a list, one entry a unit
    #[arg(long, requires = "report")]
    json: bool,
}

/// Checks each file, and goes on after one that is wrong.
pub fn run(check: &Check) -> ExitCode {
    let mut sound = Vec::new();
    for file in &check.catalogs {
        sound.extend(one(file, check.report));
    }
    let reported = !check.report || report(&sound, &check.fitted, check.json);
    if reported && sound.len() == check.catalogs.len() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Reports on sound units; whether that went well.
fn report(units: &[Catalog], fitted: &[String], as_json: bool) -> bool {
    let mut all = Vec::new();
    for unit in units {
        let mut said = Configuration::usual(unit);
        if !fitted.is_empty() {
            said.fitted = fitted.iter().map(|id| OptionId(id.clone())).collect();
        }
        match repairability(unit, &said, Limits::default()) {
            Ok(report) => all.push(report),
            Err(error) => eprintln!("error: {}: {error}", unit.unit().id),
        }
    }
    if as_json {
        match serde_json::to_string_pretty(&all) {
            Ok(json) => say(json + "\n"),
            Err(error) => {
                eprintln!("error: {error}");
                return false;
            }
        }
    } else {
        let texts: Vec<String> = all.iter().map(text).collect();
        say(texts.join("\n"));
    }
    all.len() == units.len()
}

/// The catalog of this file, if it can be used; told in a line unless it is
/// reported on.
fn one(file: &Path, is_reported: bool) -> Option<Catalog> {
    let name = file.display().to_string();
    let json = match std::fs::read_to_string(file) {
        Ok(json) => json,
        Err(error) => {
            eprintln!("error: {name} cannot be read: {error}.");
            return None;
        }
    };
    match examine_text(&name, &json) {
        Ok(Checked { catalog, warnings }) => {
            if !warnings.is_empty() {
                eprintln!("{warnings}");
            }
            if !is_reported {
                say(format_args!(
                    "{name}: {} parts, {} steps, {} fastenings, {} warnings\n",
                    catalog.parts().len(),
                    catalog.steps().len(),
                    catalog.fastenings().len(),
                    warnings.len()
                ));
            }
            Some(catalog)
        }
        Err(faults) => {
            eprintln!("{faults}");
            let (errors, warnings) = (faults.errors().count(), faults.warnings().count());
            let line = format!("{name}: cannot be used, {errors} errors, {warnings} warnings");
            if is_reported {
                eprintln!("{line}");
            } else {
                say(format_args!("{line}\n"));
            }
            None
        }
    }
}
