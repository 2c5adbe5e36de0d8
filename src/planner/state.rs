//! The state of a unit on the bench.

use lidoff_catalog::model::{Catalog, FaceIx, PartIx, ToolIx, WaitIx};
use lidoff_catalog::setup::Setup;

use super::Tenths;

/// How far a part has come. The order is the order of opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartState {
    /// In its place and fastened.
    Fitted,
    /// Loosened, swung open or slid aside.
    Eased,
    /// Off, by its own leg. A rider whose carrier is off keeps its own state and
    /// is *away*.
    Off,
}

/// The unit as it is now, and the technician before it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitState {
    /// Each part's own state, in catalog order. Parts that this unit is not
    /// fitted with are `Fitted` and of no consequence.
    pub parts: Vec<PartState>,
    /// The tool in hand; `None` before the first is fetched.
    pub tool: Option<ToolIx>,
    /// The face that is up; `None` where it is not known.
    pub face: Option<FaceIx>,
    /// Waits that are running, and how long each still has to run.
    pub waits: Vec<(WaitIx, Tenths)>,
}

impl UnitState {
    /// Everything fitted, no tool in hand, the catalog's first face up.
    pub fn closed(catalog: &Catalog) -> Self {
        Self {
            parts: vec![PartState::Fitted; catalog.parts().len()],
            tool: None,
            face: catalog.faces().next().map(|(at, _)| at),
            waits: Vec::new(),
        }
    }

    /// The part's own state.
    pub fn of(&self, part: PartIx) -> PartState {
        self.parts[part.index()]
    }

    /// How many parts are off or eased: the depth of the job.
    pub fn depth(&self, catalog: &Catalog, setup: &Setup) -> usize {
        let there = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
        there
            .filter(|(at, _)| self.of(*at) != PartState::Fitted)
            .count()
    }

    /// Whether every part is fitted.
    pub fn is_closed(&self) -> bool {
        self.parts.iter().all(|part| *part == PartState::Fitted)
    }
}
