//! The auditor and the simulator share no code and read different things: one the file and
//! the steps, the other the checked model and the operations. They agree on what is legal.

use lidoff_auditor::{Case, Rule};
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_estimate::estimate::prices;
use lidoff_job::TaskRef;
use lidoff_planner::request::{comes_new_with, with_services};
use lidoff_planner::{Limits, Op, Request, Task, UnitState, Way, plan};
use lidoff_testkit::deterministic_samples;
use lidoff_testkit::random::{UnitFeatures, files};
use lidoff_testkit::simulate::{IllegalPlan, Simulation};

use crate::jobs::{Unit, audited};

const UNITS: usize = 400;

/// The rules that the simulator judges by, too.
const fn is_shared(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::UnknownStep
            | Rule::SplitOperation
            | Rule::WrongState
            | Rule::NeedsUnmet
            | Rule::ServiceOrder
            | Rule::TaskUndone
            | Rule::WorkWhileLive
            | Rule::IsolateAgain
            | Rule::StoredEnergy
            | Rule::DeadCheck
            | Rule::NotPutBack
            | Rule::LeftOpen
            | Rule::LeftIsolated
            | Rule::UnpackedEarly
    )
}

/// One order of operations for a job, and both judges.
struct Trial<'a> {
    unit: &'a Unit,
    setup: &'a Setup,
    configuration: &'a Configuration,
    asked: &'a [TaskRef],
    tasks: &'a [Task],
}

impl Trial<'_> {
    fn simulate(&self, ops: &[Op]) -> Result<(), IllegalPlan> {
        let catalog = &self.unit.catalog;
        let prices = prices(catalog);
        let from = UnitState::closed(catalog);
        let mut simulation = Simulation::new(catalog, self.setup, self.tasks, &from, &prices)?;
        for op in ops {
            simulation.perform(*op)?;
        }
        simulation.finish()
    }

    fn audit(&self, ops: &[Op]) -> Vec<String> {
        let catalog = &self.unit.catalog;
        let steps = ops.iter().flat_map(|op| op.steps(catalog, self.setup));
        let case = Case {
            configuration: self.configuration.clone(),
            tasks: self.asked.iter().map(audited).collect(),
            steps: steps.map(|at| catalog.step(at).entry.id.clone()).collect(),
            ..Case::default()
        };
        let broken = self.unit.auditor.audit(&case).into_iter();
        let shared = broken.filter(|one| is_shared(one.rule));
        shared.map(|one| one.sentence).collect()
    }

    /// Whether every operation that could be part of a plan has a step.
    fn is_seen(&self) -> bool {
        let catalog = &self.unit.catalog;
        let parts = catalog
            .parts()
            .filter(|(_, part)| self.setup.holds(&part.when));
        let legs = parts.flat_map(|(at, part)| {
            let ease = part
                .ease
                .iter()
                .flat_map(move |_| [Op::Ease(at), Op::Settle(at)]);
            let ways = Way::all_of(part);
            ease.chain(ways.flat_map(move |way| [Op::TakeOff(at, way), Op::PutBack(at, way)]))
        });
        let tasks = self.tasks.iter().map(|task| match *task {
            Task::Replace(at) => Op::Swap(at),
            Task::Reseat(at) => Op::Reseat(at),
            Task::LeaveOut(at) => Op::LeaveOut(at),
            Task::Inspect(at) => Op::Inspect(at),
            Task::Serve(at) => Op::Serve(at),
        });
        legs.chain(tasks)
            .all(|op| !op.steps(catalog, self.setup).is_empty())
    }
}

/// The plan; the plan with two neighbours in the other order; the plan without one operation.
fn variants(ops: &[Op]) -> Vec<Vec<Op>> {
    let mut all = vec![ops.to_vec()];
    for at in 1..ops.len() {
        let mut swapped = ops.to_vec();
        swapped.swap(at - 1, at);
        all.push(swapped);
    }
    for at in 0..ops.len() {
        let mut shorter = ops.to_vec();
        shorter.remove(at);
        all.push(shorter);
    }
    all
}

#[test]
fn auditor_and_simulator_agree_on_sound_plans_and_on_bad_ones() {
    let (mut legal, mut illegal) = (0, 0);
    let with = UnitFeatures::OUT_OF_USE.sized(3, 7);
    for (nth, file) in deterministic_samples(files(with), UNITS).enumerate() {
        let Some(unit) = Unit::new(&file) else {
            continue;
        };
        let catalog = &unit.catalog;
        let configuration = Configuration::usual(catalog);
        let offered = unit.tasks(&configuration);
        if offered.is_empty() {
            continue;
        }
        let nths = [nth % offered.len(), (nth + 1) % offered.len()];
        let asked = nths.map(|nth| offered[nth].clone());
        let asked = if asked[0] == asked[1] {
            &asked[..1]
        } else {
            &asked[..]
        };
        let tasks: Vec<Task> = asked.iter().filter_map(|task| task.find(catalog)).collect();
        // The planner is not asked for what comes new with another part.
        let comes_new = |task: &Task| match task {
            Task::Replace(part) => comes_new_with(catalog, &tasks, *part).is_some(),
            _ => false,
        };
        if tasks.iter().any(comes_new) {
            continue;
        }
        let replaced = tasks.iter().filter_map(|task| match task {
            Task::Replace(part) => Some(*part),
            _ => None,
        });
        let setup = Setup::new(catalog, &configuration).expect("the usual unit");
        let setup = setup.replacing(replaced);
        let tasks = with_services(catalog, &setup, &tasks);
        let trial = Trial {
            unit: &unit,
            setup: &setup,
            configuration: &configuration,
            asked,
            tasks: &tasks,
        };
        if !trial.is_seen() {
            continue;
        }
        let found = plan(&Request {
            catalog,
            setup: &setup,
            tasks: &tasks,
            from: &UnitState::closed(catalog),
            prices: &prices(catalog),
            blocked: &[],
            limits: Limits::default(),
        });
        // Not everything can be done on a unit that goes out of use.
        let leaves_out = |task: &Task| matches!(task, Task::LeaveOut(_));
        if found.is_err() && tasks.iter().any(leaves_out) {
            continue;
        }
        let ops: Vec<Op> = found
            .expect("a plan")
            .ops
            .iter()
            .map(|one| one.op)
            .collect();
        for variant in variants(&ops) {
            let (simulated, audited) = (trial.simulate(&variant), trial.audit(&variant));
            match &simulated {
                Ok(()) => legal += 1,
                Err(_) => illegal += 1,
            }
            assert_eq!(
                simulated.is_ok(),
                audited.is_empty(),
                "unit {nth}, {variant:?}: the simulator says {simulated:?}, the auditor {audited:?}"
            );
        }
    }
    println!("two judges agree on {legal} legal orders and {illegal} illegal ones");
    assert!(
        legal > 100 && illegal > 500,
        "{legal} legal, {illegal} illegal"
    );
}
