//! Random jobs: a unit, how it is fitted, what is asked for, from where, and
//! what everything costs.

use std::fmt;
use std::sync::Arc;

use crate::simulate::{Illegal, Walk, Walker, simulate};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::request::with_services;
use lidoff_planner::{Limits, Op, Prices, Request, Task, UnitState};
use proptest::collection::vec;
use proptest::prelude::*;

use super::builder::OnBench;
use super::draw::Draw;
use super::random::{Ingredients, units};
use super::show;
use super::walks::{every_op, wander};

/// A job.
#[derive(Clone)]
pub struct Job {
    /// The unit.
    pub catalog: Arc<Catalog>,
    /// How it is fitted.
    pub setup: Setup,
    /// What is asked for, with the services that come along.
    pub tasks: Vec<Task>,
    /// Where it begins.
    pub from: UnitState,
    /// What everything costs.
    pub prices: Prices,
}

impl fmt::Debug for Job {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        show::job(self, f)
    }
}

impl Job {
    /// On a unit made by hand, from closed.
    pub fn on(on: &OnBench, tasks: &[Task]) -> Self {
        Self {
            catalog: Arc::new(on.catalog.clone()),
            setup: on.setup.clone(),
            tasks: tasks.to_vec(),
            from: UnitState::closed(&on.catalog),
            prices: on.prices.clone(),
        }
    }

    /// The same job from another state.
    pub fn starting(self, from: UnitState) -> Self {
        Self { from, ..self }
    }

    /// The request for a plan.
    pub fn request(&self) -> Request<'_> {
        Request {
            catalog: &self.catalog,
            setup: &self.setup,
            tasks: &self.tasks,
            from: &self.from,
            prices: &self.prices,
            blocked: &[],
            limits: Limits::default(),
        }
    }

    /// The same job with other tasks.
    pub fn asking(&self, tasks: Vec<Task>) -> Self {
        Self {
            tasks,
            ..self.clone()
        }
    }

    /// A walk that is about to begin.
    pub fn walker(&self) -> Walker<'_> {
        let started = Walker::new(
            &self.catalog,
            &self.setup,
            &self.tasks,
            &self.from,
            &self.prices,
        );
        started.unwrap_or_else(|illegal| panic!("{illegal}"))
    }

    /// Walks these operations to a closed unit.
    pub fn simulate(&self, ops: &[Op]) -> Result<Walk, Illegal> {
        simulate(
            &self.catalog,
            &self.setup,
            &self.tasks,
            &self.from,
            &self.prices,
            ops,
        )
    }

    /// Where the job stands after random legal operations: from there, with the
    /// tasks that are left.
    pub fn later(&self, bytes: &[u8]) -> Self {
        let ops = every_op(&self.catalog, &self.tasks);
        let mut walker = self.walker();
        wander(&mut walker, &ops, bytes);
        let moment = walker.moment();
        Self {
            from: moment.state,
            tasks: moment.left,
            ..self.clone()
        }
    }
}

/// What prices a job may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Priced {
    /// Steps and changes from nought up.
    Anyhow,
    /// Every step takes time, and changes are free.
    FreeChanges,
    /// A change takes longer than most steps: to open something more pays where
    /// that saves one.
    DearChanges,
}

/// Random jobs of up to so many tasks on random units, from closed.
pub fn jobs(with: Ingredients, most_tasks: usize, priced: Priced) -> impl Strategy<Value = Job> {
    let bytes = || vec(any::<u8>(), 48);
    (units(with), bytes(), bytes(), bytes()).prop_map(move |(catalog, setup, tasks, prices)| {
        let setup = draw_setup(&catalog, &mut Draw::new(&setup));
        let tasks = draw_tasks(&catalog, &setup, most_tasks, &mut Draw::new(&tasks));
        let prices = draw_prices(&catalog, priced, &mut Draw::new(&prices));
        Job {
            from: UnitState::closed(&catalog),
            catalog: Arc::new(catalog),
            setup,
            tasks,
            prices,
        }
    })
}

/// Random jobs that are under way: some tasks may be done, parts are out, waits
/// are running.
pub fn jobs_under_way(
    with: Ingredients,
    most_tasks: usize,
    priced: Priced,
) -> impl Strategy<Value = Job> {
    let walked = (jobs(with, most_tasks, priced), vec(any::<u8>(), 0..40));
    walked.prop_map(|(job, bytes)| job.later(&bytes))
}

/// All that may be asked of this unit as it is fitted.
pub fn offered(catalog: &Catalog, setup: &Setup) -> Vec<Task> {
    let mut offered = Vec::new();
    for (at, part) in catalog.parts() {
        if !setup.holds(&part.when) {
            continue;
        }
        offered.extend(part.swap.iter().map(|_| Task::Replace(at)));
        offered.extend(part.reseat.iter().map(|_| Task::Reseat(at)));
        offered.extend(part.inspect.iter().map(|_| Task::Inspect(at)));
    }
    let services = catalog.services();
    let there = services.filter(|(_, service)| setup.holds(&service.when));
    offered.extend(there.map(|(at, _)| Task::Serve(at)));
    offered
}

fn draw_setup(catalog: &Catalog, draw: &mut Draw<'_>) -> Setup {
    let mut said = Configuration::default();
    let second = draw.chance(50);
    for (_, option) in catalog.options() {
        let is = match &option.group {
            // Of a group of two, one or the other.
            Some(_) => option.usual != second,
            None => !draw.chance(35),
        };
        if is {
            said.fitted.push(option.id.clone());
        }
    }
    for (_, question) in catalog.questions() {
        if draw.chance(50) {
            let answer = &question.answers[draw.below(question.answers.len())];
            said.answers.insert(question.id.clone(), answer.id.clone());
        }
    }
    Setup::new(catalog, &said).unwrap_or_else(|error| panic!("{error}"))
}

fn draw_tasks(catalog: &Catalog, setup: &Setup, most: usize, draw: &mut Draw<'_>) -> Vec<Task> {
    let offered = offered(catalog, setup);
    let mut tasks = Vec::new();
    for _ in 0..draw.below(most + 1) {
        tasks.extend(draw.pick(&offered));
    }
    with_services(catalog, setup, &tasks)
}

fn draw_prices(catalog: &Catalog, priced: Priced, draw: &mut Draw<'_>) -> Prices {
    let least = u32::from(priced == Priced::FreeChanges);
    let mut price = |most: usize| least.max(draw.below(most) as u32);
    let change = (price(120), price(120));
    // Fewer bytes than steps: the rest follow on from those drawn.
    let drawn: Vec<u32> = (0..24).map(|_| price(300)).collect();
    let steps = (0..catalog.steps().len()).map(|at| drawn[at % drawn.len()] + (at / 24) as u32);
    let steps = steps.collect();
    match priced {
        Priced::Anyhow => Prices {
            steps,
            tool_change: change.0,
            face_change: change.1,
        },
        Priced::FreeChanges => Prices {
            steps,
            tool_change: 0,
            face_change: 0,
        },
        Priced::DearChanges => Prices {
            steps: steps.into_iter().map(|step| step / 8).collect(),
            tool_change: 60 + change.0,
            face_change: 60 + change.1,
        },
    }
}
