//! Parts: what blocks them, how they come off and go back, and the tasks on them.

use serde::{Deserialize, Serialize};

use super::{
    ConditionEntry, Connection, Fastening, FormulaEntry, HandBackId, PartId, ServiceId, SpareId,
    Step, Text,
};

/// Anything that comes off, opens or is eased aside.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Part {
    /// Names the part.
    pub id: PartId,
    /// What the technician calls it.
    pub name: Text,
    /// What it does, where it sits, how to know it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Text>,
    /// The units that have it; absent where all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// The part that it comes away with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rides_on: Option<PartId>,
    /// Mass, kg, where lifting it matters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// Its fasteners.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fastenings: Vec<Fastening>,
    /// Its cables.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub connections: Vec<Connection>,
    /// From fitted to eased (loosened, swung open, slid aside).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ease: Option<Leg>,
    /// Off, in the unit: from eased where there is an easing leg, else from
    /// fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub take_off: Option<Leg>,
    /// Off its carrier on the bench, while the carrier is off; only for a part
    /// that rides on another. It starts from fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bench_off: Option<Leg>,
    /// How it is replaced; absent for what is never replaced by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swap: Option<Swap>,
    /// How it is reseated.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reseat: Option<Reseat>,
    /// How it is inspected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inspect: Option<Inspect>,
}

/// One leg of the way out, and the same leg back.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Leg {
    /// What must be open before: for the way out, and again for the way back.
    #[serde(default)]
    pub needs: FormulaEntry,
    /// What must hold besides for the way back.
    #[serde(default)]
    pub refit_needs: FormulaEntry,
    /// The way out.
    pub out: Vec<Step>,
    /// The way back: written, not merely reversed.
    pub back: Vec<Step>,
}

/// How a part is replaced, once it is off.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Swap {
    /// The spare to bring.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub spare: Option<SpareId>,
    /// Riders that move to the new part: each must be off this part before the
    /// swap, and goes back onto the new one. Riders not named come with the new
    /// part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub moves_over: Vec<PartId>,
    /// Unpack and compare, make ready.
    pub steps: Vec<Step>,
    /// Reused pieces that move from the old part to the new one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hand_backs: Vec<HandBack>,
    /// Service operations that replacing this part brings with it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub services: Vec<ServiceId>,
    /// Checks after, for this part: part of proving the unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prove: Vec<Step>,
}

/// A reused piece that moves to the new part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HandBack {
    /// Names the piece.
    pub id: HandBackId,
    /// What the technician calls it.
    pub name: Text,
    /// The units on which it must be moved ("the newer revision needs the bracket").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// Off the old part, onto the new.
    pub steps: Vec<Step>,
}

/// How a part is reseated.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Reseat {
    /// How far the part must come.
    pub at: ReachedState,
    /// What is done then.
    pub steps: Vec<Step>,
    /// Checks after.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prove: Vec<Step>,
}

/// How far a part comes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReachedState {
    /// Loosened, swung open or slid aside.
    Eased,
    /// Off.
    Off,
}

/// How a part is inspected.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Inspect {
    /// When the part can be seen.
    #[serde(default)]
    pub needs: FormulaEntry,
    /// What is looked at.
    pub steps: Vec<Step>,
}

/// A service operation at a depth: save the settings, restore them, clean.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Service {
    /// Names the operation.
    pub id: ServiceId,
    /// What the technician calls it.
    pub name: Text,
    /// The units that have it; absent where all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// What must be open (or in place) while it runs.
    #[serde(default)]
    pub needs: FormulaEntry,
    /// What it must come before, where that is done at all in this job.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<OrderAnchor>,
    /// What it must come after, where that is done at all in this job.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub after: Vec<OrderAnchor>,
    /// What is done.
    pub steps: Vec<Step>,
}

/// An operation, named.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OrderAnchor {
    /// Taking this part off.
    TakeOff(PartId),
    /// Putting this part back.
    PutBack(PartId),
    /// Swapping this part.
    Swap(PartId),
    /// This service operation.
    Service(ServiceId),
}
