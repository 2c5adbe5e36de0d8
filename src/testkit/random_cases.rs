//! Random planning cases.

use std::sync::Arc;

use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::request::with_services;
use lidoff_planner::{Prices, Task, UnitState};
use proptest::collection::vec;
use proptest::prelude::*;

use crate::byte_draw::ByteDraw;
use crate::planning_case::PlanningCase;
use crate::random::{UnitFeatures, units};

/// What steps and changes of a random case may cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PriceModel {
    /// Steps and changes cost anything from nothing up.
    Any,
    /// Every step takes time, and changes are free.
    FreeChanges,
    /// A change costs more than most steps, so opening something more pays if it saves one.
    DearChanges,
}

/// Random cases of up to `max_tasks` tasks on random closed units.
pub fn random_cases(
    with: UnitFeatures,
    max_tasks: usize,
    priced: PriceModel,
) -> impl Strategy<Value = PlanningCase> {
    let bytes = || vec(any::<u8>(), 48);
    (units(with), bytes(), bytes(), bytes()).prop_map(move |(catalog, setup, tasks, prices)| {
        let setup = random_setup(&catalog, &mut ByteDraw::new(&setup));
        let tasks = random_tasks(&catalog, &setup, max_tasks, &mut ByteDraw::new(&tasks));
        let prices = random_prices(&catalog, priced, &mut ByteDraw::new(&prices));
        PlanningCase {
            from: UnitState::closed(&catalog),
            catalog: Arc::new(catalog),
            setup,
            tasks,
            prices,
        }
    })
}

/// Random cases that are under way: some tasks may be done, parts are out, waits are running.
pub fn random_cases_under_way(
    with: UnitFeatures,
    max_tasks: usize,
    priced: PriceModel,
) -> impl Strategy<Value = PlanningCase> {
    let walked = (
        random_cases(with, max_tasks, priced),
        vec(any::<u8>(), 0..40),
    );
    walked.prop_map(|(job, bytes)| job.later(&bytes))
}

/// Every task that this unit offers as it is fitted.
pub fn offered_tasks(catalog: &Catalog, setup: &Setup) -> Vec<Task> {
    let mut offered_tasks = Vec::new();
    for (at, part) in catalog.parts() {
        if !setup.holds(&part.when) {
            continue;
        }
        offered_tasks.extend(part.swap.iter().map(|_| Task::Replace(at)));
        offered_tasks.extend(part.reseat.iter().map(|_| Task::Reseat(at)));
        offered_tasks.extend(part.inspect.iter().map(|_| Task::Inspect(at)));
        if !part.leave_out.is_empty() {
            offered_tasks.push(Task::LeaveOut(at));
        }
    }
    let services = catalog.services();
    let there = services.filter(|(_, service)| setup.holds(&service.when));
    offered_tasks.extend(there.map(|(at, _)| Task::Serve(at)));
    offered_tasks
}

fn random_setup(catalog: &Catalog, draw: &mut ByteDraw<'_>) -> Setup {
    let mut configuration = Configuration::default();
    let second = draw.chance(50);
    for (_, option) in catalog.options() {
        let is = match &option.group {
            // Of a group of two, one or the other.
            Some(_) => option.usual != second,
            None => !draw.chance(35),
        };
        if is {
            configuration.fitted.push(option.id.clone());
        }
    }
    for (_, question) in catalog.questions() {
        if draw.chance(50) {
            let answer = &question.answers[draw.below(question.answers.len())];
            configuration
                .answers
                .insert(question.id.clone(), answer.id.clone());
        }
    }
    Setup::new(catalog, &configuration).unwrap_or_else(|error| panic!("{error}"))
}

fn random_tasks(
    catalog: &Catalog,
    setup: &Setup,
    most: usize,
    draw: &mut ByteDraw<'_>,
) -> Vec<Task> {
    let offered_tasks = offered_tasks(catalog, setup);
    let mut tasks = Vec::new();
    for _ in 0..draw.below(most + 1) {
        tasks.extend(draw.pick(&offered_tasks));
    }
    // Work on a part that is left out is refused before there is a search.
    let all = tasks.clone();
    tasks.retain(|task| !all.iter().any(|other| leaves_out(catalog, *other, *task)));
    with_services(catalog, setup, &tasks)
}

/// Whether the first task leaves out what the other one is about, or a carrier of that.
fn leaves_out(catalog: &Catalog, first: Task, other: Task) -> bool {
    let (Task::LeaveOut(left), Some(part)) = (first, other.op().part()) else {
        return false;
    };
    let mut chain = std::iter::successors(Some(part), |at| catalog.part(*at).rides_on);
    first != other && chain.any(|at| at == left)
}

fn random_prices(catalog: &Catalog, priced: PriceModel, draw: &mut ByteDraw<'_>) -> Prices {
    let least = u32::from(priced == PriceModel::FreeChanges);
    let mut price = |most: usize| least.max(draw.below(most) as u32);
    let change = (price(120), price(120));
    // Fewer bytes than steps: the rest follow on from those drawn.
    let drawn: Vec<u32> = (0..24).map(|_| price(300)).collect();
    let steps = (0..catalog.steps().len()).map(|at| drawn[at % drawn.len()] + (at / 24) as u32);
    let steps = steps.collect();
    match priced {
        PriceModel::Any => Prices {
            steps,
            tool_change: change.0,
            face_change: change.1,
        },
        PriceModel::FreeChanges => Prices {
            steps,
            tool_change: 0,
            face_change: 0,
        },
        PriceModel::DearChanges => Prices {
            steps: steps.into_iter().map(|step| step / 8).collect(),
            tool_change: 60 + change.0,
            face_change: 60 + change.1,
        },
    }
}
