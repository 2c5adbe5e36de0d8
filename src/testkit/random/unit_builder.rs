//! A random unit under construction.

use lidoff_catalog::format::Part;

use crate::builder::FileCondition;

use super::unit_features::UnitFeatures;

/// The waits that there may be.
pub(super) const WAITS: [&str; 2] = ["w0", "w1"];

/// How a part lies, by its own legs; the order is the order of opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PartPosition {
    Fitted,
    Eased,
    Off,
}

/// A part that is made, with what later ones must know of it.
pub(super) struct BuiltPart {
    pub part: Part,
    /// As far out as it goes.
    pub most: PartPosition,
    /// Whether it has an easing leg.
    pub eases: bool,
    /// What it rides on.
    pub carrier: Option<usize>,
    /// Where it is there at all.
    pub when: Option<FileCondition>,
}

impl BuiltPart {
    pub fn id(&self) -> &str {
        self.part.id.as_str()
    }
}

/// A unit under way.
pub(super) struct UnitBuilder {
    pub with: UnitFeatures,
    pub parts: Vec<BuiltPart>,
    /// How long each wait is, s.
    pub waits: [u32; 2],
}

impl UnitBuilder {
    /// This carrier, and what it rides on in its turn.
    pub fn carriers(&self, of: Option<usize>) -> Vec<usize> {
        let mut carriers = Vec::new();
        let mut next = of;
        while let Some(carrier) = next {
            carriers.push(carrier);
            next = self.parts[carrier].carrier;
        }
        carriers
    }
}
