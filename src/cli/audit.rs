//! Audits the plans for a catalog: every task alone, then pairs of tasks, on the usual unit,
//! as long as there is time.

use std::collections::BTreeSet;
use std::time::{Duration, Instant};

use lidoff_app_core::planning::opened;
use lidoff_auditor::{Auditor, BrokenRule, Case, Task};
use lidoff_catalog::format::{CatalogFile, StepId};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::{NamedTask, Stamp, TaskRef, fold, replan};
use lidoff_planner::{Task as PlannedTask, plan};

/// No plan is made after this time.
const TIME: Duration = Duration::from_secs(2);

/// What the audit of a catalog found.
#[derive(Default)]
pub struct Audit {
    /// How many plans were audited.
    pub plans: usize,
    /// Each rule that a step breaks, once: with the tasks of the first plan that breaks it.
    pub broken: Vec<(String, BrokenRule)>,
}

/// Audits plans for this catalog. `None` if the text is not that of a catalog.
pub fn audit(catalog: &Catalog, json: &str) -> Option<Audit> {
    let file: CatalogFile = serde_json::from_str(json).ok()?;
    let auditor = Auditor::new(file);
    let configuration = Configuration::usual(catalog);
    let tasks = tasks(catalog, &configuration);
    let alone = (0..tasks.len()).map(|nr| vec![nr]);
    // Pairs that lie far from each other in the catalog as early as neighbours.
    let pairs = (1..tasks.len()).flat_map(|apart| {
        let first = 0..tasks.len() - apart;
        first.map(move |nr| vec![nr, nr + apart])
    });
    let begin = Instant::now();
    let mut audit = Audit::default();
    let mut seen: BTreeSet<(_, Option<StepId>)> = BTreeSet::new();
    for numbers in alone.chain(pairs) {
        if begin.elapsed() > TIME {
            break;
        }
        let of_job: Vec<TaskRef> = numbers.iter().map(|nr| tasks[*nr].task.clone()).collect();
        let Some(case) = case(catalog, &configuration, &of_job) else {
            continue;
        };
        audit.plans += 1;
        for broken in auditor.audit(&case) {
            let step = case.steps.get(broken.step).cloned();
            if seen.insert((broken.rule, step)) {
                let names: Vec<String> = numbers.iter().map(|nr| tasks[*nr].describe()).collect();
                audit.broken.push((names.join(", "), broken));
            }
        }
    }
    Some(audit)
}

/// The plan for these tasks on the closed unit; `None` if there is none.
fn case(catalog: &Catalog, configuration: &Configuration, tasks: &[TaskRef]) -> Option<Case> {
    let log = opened(catalog, configuration, tasks).ok()?;
    let planned = replan(&fold(&log), catalog, &Stamp::default(), plan).ok()?;
    let task = |task: &TaskRef| match task {
        TaskRef::Replace(id) => Task::Replace(id.clone()),
        TaskRef::Reseat(id) => Task::Reseat(id.clone()),
        TaskRef::LeaveOut(id) => Task::LeaveOut(id.clone()),
        TaskRef::Inspect(id) => Task::Inspect(id.clone()),
        TaskRef::Serve(id) => Task::Serve(id.clone()),
    };
    Some(Case {
        configuration: configuration.clone(),
        tasks: tasks.iter().map(task).collect(),
        steps: planned.steps.into_iter().map(|step| step.step).collect(),
        ..Case::default()
    })
}

/// Every task that the unit offers.
fn tasks(catalog: &Catalog, configuration: &Configuration) -> Vec<NamedTask> {
    let Ok(setup) = Setup::new(catalog, configuration) else {
        return Vec::new();
    };
    let parts = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let on_parts = parts.flat_map(|(at, part)| {
        let replace = part.swap.iter().map(move |_| PlannedTask::Replace(at));
        let reseat = part.reseat.iter().map(move |_| PlannedTask::Reseat(at));
        let inspect = part.inspect.iter().map(move |_| PlannedTask::Inspect(at));
        let leave_out = part.leave_out.iter().take(1);
        let leave_out = leave_out.map(move |_| PlannedTask::LeaveOut(at));
        replace.chain(reseat).chain(inspect).chain(leave_out)
    });
    let services = catalog.services();
    let services = services.filter(|(_, service)| setup.holds(&service.when));
    let all = on_parts.chain(services.map(|(at, _)| PlannedTask::Serve(at)));
    all.map(|task| NamedTask::new(catalog, task)).collect()
}
