//! Walks through steps in order: the tool in hand, the face that is up, the running
//! waits, and their cost before each step.
//!
//! Times are tenths of a second and follow the planner's rules, so that a snapshot
//! costs exactly what the planner computed.

use lidoff_catalog::model::{Catalog, FaceIx, StepIx, ToolIx, WaitIx};
use lidoff_planner::{Prices, Tenths, UnitState};

/// The state of the walk.
#[derive(Clone)]
pub(super) struct StepWalk<'a> {
    catalog: &'a Catalog,
    prices: &'a Prices,
    tool: Option<ToolIx>,
    face: Option<FaceIx>,
    /// Waits and what of each is left.
    waits: Vec<(WaitIx, Tenths)>,
}

/// The cost of one step at its place.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct StepCosts {
    pub tool_change: bool,
    pub turn: bool,
    /// Tool change and turn.
    pub change: Tenths,
    /// Waiting with nothing else to do.
    pub wait: Tenths,
    /// The step itself.
    pub work: Tenths,
}

impl StepCosts {
    /// Everything.
    pub const fn total(self) -> Tenths {
        self.change
            .saturating_add(self.wait)
            .saturating_add(self.work)
    }
}

impl<'a> StepWalk<'a> {
    pub fn from(catalog: &'a Catalog, prices: &'a Prices, state: &UnitState) -> Self {
        Self {
            catalog,
            prices,
            tool: state.tool,
            face: state.face,
            waits: state.waits.clone(),
        }
    }

    /// Does a step and returns its cost.
    pub fn step(&mut self, at: StepIx) -> StepCosts {
        let step = self.catalog.step(at);
        let mut costs = StepCosts {
            work: self.prices.of(at),
            ..StepCosts::default()
        };
        if step.tool.is_some() && step.tool != self.tool {
            costs.tool_change = true;
            costs.change += self.prices.tool_change;
            self.tool = step.tool;
        }
        if step.face.is_some() && step.face != self.face {
            costs.turn = true;
            costs.change += self.prices.face_change;
            self.face = step.face;
        }
        self.pass(costs.change);
        if let Some(wait) = step.after_wait {
            let left = self.waits.iter().find(|(one, _)| *one == wait);
            costs.wait = left.map_or(0, |(_, left)| *left);
            self.pass(costs.wait);
        }
        self.pass(costs.work);
        if let Some(wait) = step.starts_wait {
            self.waits.retain(|(one, _)| *one != wait);
            let long = self.catalog.wait(wait).seconds.saturating_mul(10);
            self.waits.push((wait, long));
        }
        costs
    }

    /// Lets time pass.
    fn pass(&mut self, time: Tenths) {
        for (_, left) in &mut self.waits {
            *left = left.saturating_sub(time);
        }
        self.waits.retain(|(_, left)| *left > 0);
    }

    /// Writes tool, face and waits into a state.
    pub fn into_state(self, state: &mut UnitState) {
        state.tool = self.tool;
        state.face = self.face;
        state.waits = self.waits;
    }
}
