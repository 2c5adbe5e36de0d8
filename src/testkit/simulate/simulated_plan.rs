//! A whole plan, simulated.

use lidoff_catalog::format::HandBackId;
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Cost, Op, Prices, Task, UnitState};

use super::illegal_plan::IllegalPlan;
use super::ledger::TallyLine;
use super::simulation::{SimulatedState, Simulation};

/// A plan that was simulated from its first operation to a closed unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SimulatedPlan {
    /// The state after each operation.
    pub states: Vec<SimulatedState>,
    pub cost: Cost,
    /// Every fastening of the catalog, in catalog order.
    pub tally: Vec<TallyLine>,
    /// Reused pieces that moved over to a new part, in the order of the plan.
    pub hand_backs: Vec<(PartIx, HandBackId)>,
}

/// Simulates a plan and checks every rule on the way; and at the end that no task is left, the
/// unit is closed and the tally is zero.
///
/// # Errors
/// The first rule that is broken, and where.
///
/// # Panics
/// Where an index of the tasks, the operations or the state belongs to another catalog.
///
/// # Example
///
/// A fan behind a lid, each one step of 2 s out and one of 3 s back, without tools.
///
/// ```
/// use lidoff_planner::{Op, Task, UnitState, Way};
/// use lidoff_catalog::format::Swap;
/// use lidoff_testkit::builder::{TestUnit, free, off, plain, unit};
/// use lidoff_testkit::simulate::{Violation, simulate};
///
/// let mut file = unit("blower");
/// let mut fan = plain("fan", off("lid"));
/// fan.swap = Some(Swap::default());
/// file.parts = vec![plain("lid", free()), fan];
/// let unit = TestUnit::new(file);
/// let (lid, fan) = (unit.part("lid"), unit.part("fan"));
/// let run = |ops: &[Op]| {
///     let from = UnitState::closed(&unit.catalog);
///     let tasks = [Task::Replace(fan)];
///     simulate(&unit.catalog, &unit.setup, &tasks, &from, &unit.prices, ops)
/// };
///
/// let (out, back) = (
///     |part| Op::TakeOff(part, Way::InPlace),
///     |part| Op::PutBack(part, Way::InPlace),
/// );
/// let done = run(&[out(lid), out(fan), Op::Swap(fan), back(fan), back(lid)])?;
/// assert_eq!(done.cost.total, 2 * 20 + 2 * 30);
///
/// // The fan cannot come off before the lid: the first operation breaks a rule.
/// let illegal = run(&[out(fan)]).unwrap_err();
/// assert_eq!(illegal.index, 0);
/// assert!(matches!(illegal.violation, Violation::Needs(_)));
/// # Ok::<(), lidoff_testkit::simulate::IllegalPlan>(())
/// ```
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
