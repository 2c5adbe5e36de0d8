//! A whole plan, simulated.

use lidoff_catalog::format::HandBackId;
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Cost, Op, Prices, Task, UnitState};

use super::illegal_plan::IllegalPlan;
use super::ledger::TallyLine;
use super::simulation::{SimulatedState, Simulation};

/// A plan that was walked from its first operation to a closed unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SimulatedPlan {
    /// How things stand after each operation.
    pub states: Vec<SimulatedState>,
    /// What it all cost.
    pub cost: Cost,
    /// Every fastening of the catalog, in catalog order.
    pub tally: Vec<TallyLine>,
    /// Reused pieces that went over to a new part, in the order in which they
    /// did.
    pub hand_backs: Vec<(PartIx, HandBackId)>,
}

/// Walks a plan and checks every rule on the way, and that the unit is closed,
/// the tally is zero and no task is left at the end.
///
/// # Errors
/// The first rule that is broken, and where.
///
/// # Panics
/// When an index of the tasks, operations or state is of another catalog.
pub fn simulate(
    catalog: &Catalog,
    setup: &Setup,
    tasks: &[Task],
    from: &UnitState,
    prices: &Prices,
    ops: &[Op],
) -> Result<SimulatedPlan, IllegalPlan> {
    let mut simulation = Simulation::new(catalog, setup, tasks, from, prices)?;
    let mut states = Vec::with_capacity(ops.len());
    for op in ops {
        simulation.perform(*op)?;
        states.push(simulation.current_state());
    }
    simulation.finish()?;
    Ok(SimulatedPlan {
        states,
        cost: simulation.cost(),
        tally: simulation.tally().to_vec(),
        hand_backs: simulation.hand_backs().to_vec(),
    })
}
