//! What replacing one part more would add.

use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::{MarginalCost, MarginalCosts, TaskRef};
use lidoff_planner::progress::block_on;
use lidoff_planner::{Limits, Task, plan};

use lidoff_testkit::visit::{Visit, perch, replace, sorrel};

fn all(catalog: &Catalog, part: &str) -> Vec<MarginalCost> {
    let setup = Setup::new(catalog, &Configuration::usual(catalog)).unwrap();
    let task = Task::Replace(catalog.find_part(part).unwrap());
    let mut what_if = MarginalCosts::new(catalog, setup, vec![task], Limits::default());
    let mut plans = 1;
    while block_on(what_if.go_on(catalog, async |request| plan(request))).unwrap() {
        plans += 1;
    }
    let (done, many) = what_if.progress();
    assert_eq!(done, many);
    assert_eq!(what_if.refused(), []);
    assert_eq!(plans, 1 + 2 * many, "one plan each time");
    what_if.found().to_vec()
}

fn visit_s(catalog: &Catalog, parts: &[&str]) -> f64 {
    let tasks: Vec<TaskRef> = parts.iter().map(|part| replace(part)).collect();
    Visit::begin(catalog, &tasks).job().left_s()
}

#[test]
fn the_extra_time_is_the_difference_between_whole_visits() {
    let catalog = perch();
    let found = all(&catalog, "main-board");
    for also in found.iter().step_by(5) {
        let TaskRef::Replace(part) = &also.task.task else {
            panic!("only replacements are listed");
        };
        let alone = visit_s(&catalog, &[part.as_str()]);
        let both = visit_s(&catalog, &["main-board", part.as_str()]);
        let base = visit_s(&catalog, &["main-board"]);
        assert!((also.alone_s - alone).abs() < 0.05, "{also:?}");
        assert!((also.more_s - (both - base)).abs() < 0.15, "{also:?}");
    }
}

#[test]
fn the_greatest_saving_comes_first_and_none_is_negative() {
    for (catalog, part) in [(perch(), "main-board"), (sorrel(), "fan")] {
        let found = all(&catalog, part);
        assert!(found.len() > 15);
        assert!(found.iter().all(|also| also.saved_s() >= 0.0));
        assert!(found.iter().all(|also| also.more_s >= 0.0));
        assert!(found.is_sorted_by(|one, other| one.saved_s() >= other.saved_s()));
        let itself = replace(part);
        assert!(found.iter().all(|also| also.task.task != itself));
    }
}

#[test]
fn a_part_that_is_off_anyway_adds_only_its_swap_and_its_checks() {
    // The base cover of the laptop comes off for the fan.
    let catalog = sorrel();
    let found = all(&catalog, "fan");
    let base = replace("base-cover");
    let base = found.iter().find(|also| also.task.task == base).unwrap();
    let part = catalog.part(catalog.find_part("base-cover").unwrap());
    let swap = part.swap.as_ref().unwrap();
    let seconds = |steps: &[lidoff_catalog::model::StepIx]| -> f64 {
        let each = steps.iter().map(|step| &catalog.step(*step).entry);
        each.map(|step| lidoff_estimate::Estimate::from_entry(step).seconds)
            .sum()
    };
    let own = seconds(&swap.steps) + seconds(&swap.prove);
    // And at the most one tool and one turn each way.
    assert!(base.more_s >= own - 0.1, "{base:?} {own}");
    assert!(base.more_s <= own + 2.0 * (4.2 + 4.5), "{base:?} {own}");
}

#[test]
fn without_tasks_the_extra_time_is_that_of_a_visit_and_is_planned_only_once() {
    let catalog = sorrel();
    let setup = || Setup::new(&catalog, &Configuration::usual(&catalog)).unwrap();
    let task = |part: &str| Task::Replace(catalog.find_part(part).unwrap());
    let others = || vec![task("fan"), task("memory"), task("coin-cell")];
    let count = |costs: &mut MarginalCosts| {
        let mut plans = 0;
        while block_on(costs.go_on(&catalog, async |request| {
            plans += 1;
            plan(request)
        }))
        .unwrap()
        {}
        plans
    };
    let limits = Limits::default();
    let mut visits = MarginalCosts::among(&catalog, setup(), Vec::new(), others(), limits);
    assert_eq!(count(&mut visits), 3);
    assert!(visits.found().iter().all(|cost| cost.saved_s() == 0.0));
    let fan = vec![task("fan")];
    let costs = MarginalCosts::among(&catalog, setup(), fan, others(), limits);
    let mut costs = costs.after(&visits);
    // The visit for the fan, and one with each other part.
    assert_eq!(count(&mut costs), 3);
    assert_eq!(costs.found().len(), 2);
    assert!(costs.found().iter().all(|cost| cost.saved_s() > 0.0));
}
