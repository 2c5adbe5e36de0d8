//! Walks a plan one operation at a time, and says whether a technician could.
//!
//! The simulator reads the rules of the planner afresh and shares no
//! code with the planner: not its legality, not its list of steps, not its
//! clock. So a plan that it accepts has been looked at twice. It keeps four
//! books: how far every part has come, what the clock shows, which fastenings
//! and cables are undone, and which tasks are left.
//!
//! It is slow and plain on purpose.

mod clock;
mod illegal;
mod rules;
mod steps;
mod tally;
mod walker;
mod words;

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests;

pub use illegal::{Illegal, Why};
pub use tally::TallyLine;
pub use walker::{Moment, Walker};

use lidoff_catalog::format::HandBackId;
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Setup;

use lidoff_planner::{Cost, Op, Prices, Task, UnitState};

/// A plan that was walked from its first operation to a closed unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Walk {
    /// How things stand after each operation.
    pub moments: Vec<Moment>,
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
) -> Result<Walk, Illegal> {
    let mut walker = Walker::new(catalog, setup, tasks, from, prices)?;
    let mut moments = Vec::with_capacity(ops.len());
    for op in ops {
        walker.walk(*op)?;
        moments.push(walker.moment());
    }
    walker.finish()?;
    Ok(Walk {
        moments,
        cost: walker.cost(),
        tally: walker.tally().to_vec(),
        hand_backs: walker.hand_backs().to_vec(),
    })
}
