//! The state of a unit on the bench.

use lidoff_catalog::model::{Catalog, FaceIx, PartIx, ToolIx, WaitIx};
use lidoff_catalog::setup::Setup;

use crate::cost::Tenths;

/// How far open a part is. The order is the order of opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum PartState {
    /// In its place and fastened.
    Fitted,
    /// Loosened, swung open or slid aside.
    Eased,
    /// Off, by its own leg. A rider whose carrier is off keeps its own state and is
    /// *away*.
    Off,
}

/// The state of the unit, and what the technician has in hand.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UnitState {
    /// Each part's own state, in catalog order. Parts that this unit is not fitted with are
    /// `Fitted`; their state does not matter.
    pub parts: Vec<PartState>,
    /// The tool in hand; `None` before the first one is fetched.
    pub tool: Option<ToolIx>,
    /// The face that is up; `None` where that is unknown.
    pub face: Option<FaceIx>,
    /// Running waits, each with the time that is left.
    pub waits: Vec<(WaitIx, Tenths)>,
}

impl UnitState {
    /// Everything fitted, no tool in hand, the catalog's first face up.
    pub fn closed(catalog: &Catalog) -> Self {
        Self {
            parts: vec![PartState::Fitted; catalog.parts().len()],
            tool: None,
            face: catalog.faces().next().map(|(face, _)| face),
            waits: Vec::new(),
        }
    }

    /// The part's own state.
    pub fn of(&self, part: PartIx) -> PartState {
        self.parts[part.index()]
    }

    /// The depth of the job: how many parts are off or eased.
    pub fn depth(&self, catalog: &Catalog, setup: &Setup) -> usize {
        let fitted = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
        fitted
            .filter(|(part, _)| self.of(*part) != PartState::Fitted)
            .count()
    }

    pub fn is_closed(&self) -> bool {
        self.parts.iter().all(|part| *part == PartState::Fitted)
    }
}
