//! The demo units.

use lidoff_catalog::format::CatalogFile;
use lidoff_catalog::setup::Configuration;
use lidoff_testkit::demo::CATALOGS;

use crate::jobs::{Outcome, Unit};

/// Jobs of one task in a configuration other than the usual one, at most for each unit.
const UNUSUAL_JOBS: usize = 500;

fn demo_unit(nth: usize) -> (CatalogFile, Unit) {
    let (name, text) = CATALOGS[nth];
    let file: CatalogFile =
        serde_json::from_str(text).unwrap_or_else(|why| panic!("{name}: {why}"));
    let unit = Unit::new(&file).expect("a sound catalog");
    (file, unit)
}

fn audit_usual_jobs(nth: usize) {
    let (file, unit) = demo_unit(nth);
    let usual = Configuration::usual(&unit.catalog);
    let tasks = unit.tasks(&usual);
    let mut outcome = Outcome::new(|_, _| false);
    let everywhere: Vec<usize> = (1..40).collect();
    let mut pairs = 0;
    for (at, task) in tasks.iter().enumerate() {
        let alone = std::slice::from_ref(task);
        unit.audit_job(&usual, alone, (&everywhere, 40), &mut outcome);
        for other in &tasks[at + 1..] {
            // For every third pair also from one place on the way, each time another one.
            pairs += 1;
            let place = [1 + pairs / 3 % 7];
            let places = if pairs % 3 == 0 { &place[..] } else { &[] };
            let pair = [task.clone(), other.clone()];
            unit.audit_job(&usual, &pair, (places, 8), &mut outcome);
        }
    }
    outcome.check(&format!("{}, usual unit", file.unit.id));
}

fn audit_unusual_jobs(nth: usize) {
    let (file, unit) = demo_unit(nth);
    let mut outcome = Outcome::new(|_, _| false);
    let jobs: Vec<_> = unit
        .configurations()
        .into_iter()
        .flat_map(|configuration| {
            let tasks = unit.tasks(&configuration);
            tasks
                .into_iter()
                .map(move |task| (configuration.clone(), task))
        })
        .collect();
    // Any stride that shares no factor with the number of jobs visits them evenly.
    let stride = jobs.len() / UNUSUAL_JOBS + 1;
    for (configuration, task) in jobs.iter().step_by(stride) {
        let alone = std::slice::from_ref(task);
        unit.audit_job(configuration, alone, (&[1], 2), &mut outcome);
    }
    let about = format!("{}, one job in {stride} of {}", file.unit.id, jobs.len());
    outcome.check(&about);
}

#[test]
fn no_plan_for_the_usual_kiosk_breaks_a_rule() {
    audit_usual_jobs(0);
}

#[test]
fn no_plan_for_the_usual_laptop_breaks_a_rule() {
    audit_usual_jobs(1);
}

#[test]
fn no_plan_for_another_kiosk_breaks_a_rule() {
    audit_unusual_jobs(0);
}

#[test]
fn no_plan_for_another_laptop_breaks_a_rule() {
    audit_unusual_jobs(1);
}
