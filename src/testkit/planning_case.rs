//! A planning case: an owned request for a plan.

use std::sync::Arc;

use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Limits, Op, Prices, Request, Task, UnitState};

use crate::builder::TestUnit;
use crate::random_walk::{all_ops, walk_randomly};
use crate::simulate::{IllegalPlan, SimulatedPlan, Simulation, simulate};

/// A unit, how it is fitted, what is asked for, from which state, and what everything costs.
#[derive(Clone)]
pub struct PlanningCase {
    pub catalog: Arc<Catalog>,
    pub setup: Setup,
    /// With the services that come with a replacement.
    pub tasks: Vec<Task>,
    pub from: UnitState,
    pub prices: Prices,
}

impl PlanningCase {
    /// A case on a unit made by hand, which is closed.
    pub fn on(on: &TestUnit, tasks: &[Task]) -> Self {
        Self {
            catalog: Arc::new(on.catalog.clone()),
            setup: on.setup.clone(),
            tasks: tasks.to_vec(),
            from: UnitState::closed(&on.catalog),
            prices: on.prices.clone(),
        }
    }

    /// The same case from another state.
    pub fn starting_from(self, from: UnitState) -> Self {
        Self { from, ..self }
    }

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

    /// The same case with other tasks.
    pub fn with_tasks(&self, tasks: Vec<Task>) -> Self {
        Self {
            tasks,
            ..self.clone()
        }
    }

    /// A simulation that stands at the start of the case.
    pub fn simulation(&self) -> Simulation<'_> {
        let started = Simulation::new(
            &self.catalog,
            &self.setup,
            &self.tasks,
            &self.from,
            &self.prices,
        );
        started.unwrap_or_else(|illegal| panic!("{illegal}"))
    }

    /// Simulates these operations to a closed unit.
    pub fn simulate(&self, ops: &[Op]) -> Result<SimulatedPlan, IllegalPlan> {
        simulate(
            &self.catalog,
            &self.setup,
            &self.tasks,
            &self.from,
            &self.prices,
            ops,
        )
    }

    /// The case after random legal operations: from that state, with the tasks that are left.
    pub fn later(&self, bytes: &[u8]) -> Self {
        let ops = all_ops(&self.catalog, &self.tasks);
        let mut simulation = self.simulation();
        walk_randomly(&mut simulation, &ops, bytes);
        let moment = simulation.current_state();
        let left_out = simulation.left_out().to_vec();
        Self {
            setup: self.setup.clone().without(&self.catalog, left_out),
            from: moment.state,
            tasks: moment.left,
            ..self.clone()
        }
    }
}
