//! `lidoff plan --also`: the extra time for replacing each other part now.

use std::fmt::Write as _;

use lidoff_app_core::display::format_duration;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::{MarginalCost, MarginalCosts, TaskRef};
use lidoff_planner::progress::block_on;
use lidoff_planner::{Limits, Task, plan};
use serde_json::{Value, json};

/// The extra time for each other part, the greatest saving first.
///
/// # Errors
/// When the setup does not fit, or there is no plan for the tasks; in words.
pub fn lines(
    catalog: &Catalog,
    setup: &Configuration,
    tasks: &[TaskRef],
) -> Result<MarginalCosts, String> {
    let setup = Setup::new(catalog, setup).map_err(|error| error.to_string())?;
    let tasks: Vec<Task> = tasks.iter().filter_map(|task| task.find(catalog)).collect();
    let mut what_if = MarginalCosts::new(catalog, setup, tasks, Limits::default());
    while block_on(what_if.go_on(catalog, async |request| plan(request)))
        .map_err(|refusal| refusal.words(catalog))?
    {}
    Ok(what_if)
}

/// For people.
pub fn printed(what_if: &MarginalCosts) -> String {
    let mut out = String::from(
        "Extra time now, compared with a separate visit (with checks, without travel):\n",
    );
    for MarginalCost {
        task,
        more_s,
        alone_s,
    } in what_if.found()
    {
        // Writing to a string does not fail.
        let _ = writeln!(
            out,
            "  + {:>7}  separate visit {:>7}  {}",
            format_duration(*more_s),
            format_duration(*alone_s),
            task.name
        );
    }
    for task in what_if.refused() {
        let _ = writeln!(out, "  not possible in this visit: {}", task.name);
    }
    out
}

/// For programs.
pub fn json(what_if: &MarginalCosts) -> Value {
    what_if
        .found()
        .iter()
        .map(|also| {
            json!({
                "task": also.task.task,
                "name": also.task.name,
                "more_s": also.more_s,
                "alone_s": also.alone_s,
            })
        })
        .collect()
}
