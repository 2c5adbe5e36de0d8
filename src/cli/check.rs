//! `lidoff check`: what is wrong with catalogs, where, and how to fix it.
//!
//! Faults go to standard error, one line each; a line of counts for each catalog
//! goes to standard output; with `--report`, each unit's repairability instead.
//! Plans for the usual unit are audited: each rule that one breaks is a line, too.
//! Exit code 1 when any catalog cannot be used, or a plan breaks a rule that protects people.

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use lidoff_catalog::check::{Checked, Severity, examine_text};
use lidoff_catalog::format::OptionId;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_estimate::limits::short_limits;
use lidoff_limits::CATALOG;
use lidoff_planner::Limits;
use lidoff_report::exchange::repairability::{repairability, text};

use crate::audit::audit;
use crate::input::{read_text, unreadable};
use crate::print::print;

/// What to check.
#[derive(clap::Args)]
pub struct Check {
    /// Catalog files
    #[arg(required = true, value_name = "CATALOG")]
    catalogs: Vec<PathBuf>,
    /// Report the disassembly depth and access time of each part, and the tools and
    /// fasteners of the unit, in the terms of EN 45554:2020
    #[arg(long)]
    report: bool,
    /// An option that the unit is fitted with, for the report; can be repeated
    /// (default: the usual options)
    #[arg(long, value_name = "OPTION", requires = "report")]
    fitted: Vec<String>,
    /// Print the reports as JSON: a list with one entry for each unit
    #[arg(long, requires = "report")]
    json: bool,
}

/// Checks each file, and goes on after a bad one.
pub fn run(check: &Check) -> ExitCode {
    let mut usable = Vec::new();
    for file in &check.catalogs {
        usable.extend(check_file(file, check.report));
    }
    let reported = !check.report || report(&usable, &check.fitted, check.json);
    if reported && usable.len() == check.catalogs.len() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

/// Reports on the units that can be used; `false` where a report failed.
fn report(units: &[Catalog], fitted: &[String], as_json: bool) -> bool {
    let mut all = Vec::new();
    for unit in units {
        let mut configuration = Configuration::usual(unit);
        if !fitted.is_empty() {
            configuration.fitted = fitted.iter().map(|id| OptionId(id.clone())).collect();
        }
        match repairability(unit, &configuration, Limits::default()) {
            Ok(report) => all.push(report),
            Err(error) => eprintln!("error: {}: {error}", unit.unit().id),
        }
    }
    if as_json {
        match serde_json::to_string_pretty(&all) {
            Ok(json) => print(json + "\n"),
            Err(error) => {
                eprintln!("error: {error}");
                return false;
            }
        }
    } else {
        let texts: Vec<String> = all.iter().map(text).collect();
        print(texts.join("\n"));
    }
    all.len() == units.len()
}

/// The catalog in this file, if it can be used. Prints a line of counts unless the
/// unit is reported on.
fn check_file(file: &Path, is_reported: bool) -> Option<Catalog> {
    let name = file.display().to_string();
    let json = match read_text(file, CATALOG.bytes) {
        Ok(json) => json,
        Err(error) => {
            eprintln!("error: {}.", unreadable(file, &error));
            return None;
        }
    };
    match examine_text(&name, &json) {
        Ok(Checked { catalog, warnings }) => {
            if !warnings.is_empty() {
                eprintln!("{warnings}");
            }
            if is_reported {
                return Some(catalog);
            }
            let short = short_limits(&catalog);
            for limit in &short {
                eprintln!(
                    "error: {name}: the time limit “{}” of step “{}” is {} s, but the steps up \
                     to its end take {:.0} s. Give more time, or move start and end closer \
                     together.",
                    limit.limit, limit.step, limit.seconds, limit.needed_s
                );
            }
            let audit = audit(&catalog, &json).unwrap_or_default();
            let mut is_safe = short.is_empty();
            for (tasks, broken) in &audit.broken {
                let protects = broken.rule.protects_people();
                is_safe &= !protects;
                let level = if protects { "error" } else { "warning" };
                let (rule, sentence) = (broken.rule.id(), &broken.sentence);
                eprintln!("{level}: {name}: plan for {tasks}: {sentence} [{rule}]");
            }
            print(format_args!(
                "{name}: {}, {}, {}, {}; {} audited, {}\n",
                count(catalog.parts().len(), "part"),
                count(catalog.steps().len(), "step"),
                count(catalog.fastenings().len(), "fastening"),
                count(warnings.len(), "warning"),
                count(audit.plans, "plan"),
                count(audit.broken.len(), "broken rule")
            ));
            is_safe.then_some(catalog)
        }
        Err(faults) => {
            eprintln!("{faults}");
            let [errors, warnings] =
                [Severity::Error, Severity::Warning].map(|one| faults.count(one));
            let line = format!(
                "{name}: cannot be used: {}, {}",
                count(errors, "error"),
                count(warnings, "warning")
            );
            if is_reported {
                eprintln!("{line}");
            } else {
                print(format_args!("{line}\n"));
            }
            None
        }
    }
}

/// "1 error", "2 errors".
fn count(n: usize, name: &str) -> String {
    let plural = if n == 1 { "" } else { "s" };
    format!("{n} {name}{plural}")
}
