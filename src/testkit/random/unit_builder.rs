//! A random unit under construction.

use lidoff_catalog::format::Part;

use crate::builder::FileCondition;

use super::unit_features::UnitFeatures;

pub(super) const WAITS: [&str; 2] = ["w0", "w1"];

/// The position of a part by its own legs, in the order of opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum PartPosition {
    Fitted,
    Eased,
    Off,
}

/// A finished part, with what later parts must know of it.
pub(super) struct BuiltPart {
    pub part: Part,
    /// The furthest position that it reaches.
    pub most: PartPosition,
    pub eases: bool,
    pub carrier: Option<usize>,
    /// Under which condition it is fitted.
    pub when: Option<FileCondition>,
}

impl BuiltPart {
    pub fn id(&self) -> &str {
        self.part.id.as_str()
    }
}

pub(super) struct UnitBuilder {
    pub with: UnitFeatures,
    pub parts: Vec<BuiltPart>,
    /// The length of each wait in seconds.
    pub waits: [u32; 2],
}

impl UnitBuilder {
    /// This carrier, its own carrier, and so on.
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
