//! The clock: steps, tool and face changes, and waits.

use lidoff_catalog::model::{Catalog, FaceIx, StepIx, ToolIx, WaitIx};
use lidoff_planner::{Cost, Prices, Tenths, UnitState};

use super::violation::Violation;

/// The clock, with the tool in hand and the face up.
#[derive(Clone, Debug)]
pub(super) struct SimulatedClock {
    /// The cost so far; `total` is what the clock shows.
    pub cost: Cost,
    pub tool: Option<ToolIx>,
    pub face: Option<FaceIx>,
    /// When each wait is over; `None` for one that was never started.
    over: Vec<Option<Tenths>>,
}

impl SimulatedClock {
    /// A clock at zero, with the waits that are running already.
    pub fn new(catalog: &Catalog, from: &UnitState) -> Self {
        let mut over = vec![None; catalog.waits().len()];
        for (wait, left) in &from.waits {
            over[wait.index()] = Some(*left);
        }
        Self {
            cost: Cost::default(),
            tool: from.tool,
            face: from.face,
            over,
        }
    }

    /// Runs one step: changes first, then what is left of the wait that it comes after, then
    /// the step. A wait runs on while the tool is changed or the unit turned.
    pub fn run(&mut self, catalog: &Catalog, prices: &Prices, at: StepIx) -> Result<(), Violation> {
        let step = catalog.step(at);
        if let Some(tool) = step.tool
            && self.tool != Some(tool)
        {
            self.tool = Some(tool);
            self.cost.tool_changes += 1;
            self.advance(prices.tool_change)?;
        }
        if let Some(face) = step.face
            && self.face != Some(face)
        {
            self.face = Some(face);
            self.cost.face_changes += 1;
            self.advance(prices.face_change)?;
        }
        if let Some(over) = step.after_wait.and_then(|wait| self.over[wait.index()]) {
            let idle = over.saturating_sub(self.cost.total);
            self.cost.waiting = add(self.cost.waiting, idle)?;
            self.advance(idle)?;
        }
        let work = prices.of(at);
        self.cost.work = add(self.cost.work, work)?;
        self.advance(work)?;
        if let Some(wait) = step.starts_wait {
            let length = catalog.wait(wait).seconds.checked_mul(10);
            let length = length.ok_or(Violation::TooLong)?;
            self.over[wait.index()] = Some(add(self.cost.total, length)?);
        }
        Ok(())
    }

    /// Running waits, each with the time that is left.
    pub fn waits(&self, catalog: &Catalog) -> Vec<(WaitIx, Tenths)> {
        catalog
            .waits()
            .filter_map(|(wait, _)| {
                let left = self.over[wait.index()]?.saturating_sub(self.cost.total);
                (left > 0).then_some((wait, left))
            })
            .collect()
    }

    fn advance(&mut self, by: Tenths) -> Result<(), Violation> {
        self.cost.total = add(self.cost.total, by)?;
        Ok(())
    }
}

fn add(one: Tenths, other: Tenths) -> Result<Tenths, Violation> {
    one.checked_add(other).ok_or(Violation::TooLong)
}
