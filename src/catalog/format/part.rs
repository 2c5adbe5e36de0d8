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
    /// Id of the part.
    pub id: PartId,
    /// Its name for the technician.
    pub name: Text,
    /// What it does, where it is, how to recognise it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Text>,
    /// The kind of part, where the unit has several of it ("memory module"), so that a job can
    /// replace whichever of them is faulty.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub like: Option<Text>,
    /// The units that have it; absent if all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// The part that it comes away with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rides_on: Option<PartId>,
    /// Mass, kg, if lifting it matters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mass_kg: Option<f64>,
    /// Its fasteners.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fastenings: Vec<Fastening>,
    /// Its cables.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub connections: Vec<Connection>,
    /// Sources that need not be isolated for any operation on this part. All others that
    /// reach it must be.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub may_be_live: Vec<PartId>,
    /// From fitted to eased (loosened, swung open, slid aside).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ease: Option<Leg>,
    /// Off, in the unit: from eased if there is an easing leg, otherwise from fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub take_off: Option<Leg>,
    /// Other ways off in the unit, from the same state as `take_off`. The way back need not
    /// be the way out.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub other_ways: Vec<Leg>,
    /// Off its carrier on the bench, while the carrier is off; only for a part
    /// that rides on another. It starts from fitted.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bench_off: Option<Leg>,
    /// How it is replaced; absent if it is never replaced by itself.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub swap: Option<Swap>,
    /// What is done, once it is off, to close the unit without it. The unit is then out of
    /// use: nothing is made live again. Empty: the unit is never closed without it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub leave_out: Vec<Step>,
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
    /// Additional needs for the way back.
    #[serde(default)]
    pub refit_needs: FormulaEntry,
    /// Sources that need not be isolated for this leg, besides those of the part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub may_be_live: Vec<PartId>,
    /// The way out.
    pub out: Vec<Step>,
    /// The steps of the way back. They are not derived from the way out.
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
    /// Service operations that replacing this part requires.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub services: Vec<ServiceId>,
    /// Checks of this part after the replacement, as part of proving the unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prove: Vec<Step>,
}

/// A reused piece that moves to the new part.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct HandBack {
    /// Id of the piece.
    pub id: HandBackId,
    /// Its name for the technician.
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
    /// State that the part must reach.
    pub at: ReachedState,
    /// What is done then.
    pub steps: Vec<Step>,
    /// Checks after.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub prove: Vec<Step>,
}

/// State that a part reaches.
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
    /// What must be open for the part to be seen.
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
    /// Id of the operation.
    pub id: ServiceId,
    /// Its name for the technician.
    pub name: Text,
    /// The units that have it; absent if all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// What must be open (or in place) while it runs.
    #[serde(default)]
    pub needs: FormulaEntry,
    /// Sources that need not be isolated while it runs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub may_be_live: Vec<PartId>,
    /// Sources that must be live while it runs.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub live: Vec<PartId>,
    /// Operations that it must come before, if they are part of the job.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub before: Vec<OrderAnchor>,
    /// Operations that it must come after, if they are part of the job.
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
