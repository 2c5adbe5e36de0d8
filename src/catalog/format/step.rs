//! Steps: one action with one tool on one face.

use serde::{Deserialize, Serialize};

use super::{
    ConditionEntry, ConnectionId, ConsumableId, Element, FaceId, FasteningId, HazardId, KitId,
    PartId, QuestionId, Record, ServiceId, StepId, Text, ToolId, WaitId,
};

/// One action with one tool on one face.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Step {
    /// Id of the step.
    pub id: StepId,
    /// What to do, short enough to read at arm's length.
    #[serde(rename = "do")]
    pub action: Text,
    /// Instructions: keys, notches, angles, snap sounds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<Text>,
    /// The units that it is done on; absent for all units.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// The tool; absent for bare hands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<ToolId>,
    /// The face that must be up; absent if any face will do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<FaceId>,
    /// Fasteners that come undone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub undo: Vec<FasteningId>,
    /// Fasteners that are done up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub redo: Vec<FasteningId>,
    /// Cables that are unplugged.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unplug: Vec<ConnectionId>,
    /// Cables that are plugged in.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plug: Vec<ConnectionId>,
    /// Hazards of this step.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<HazardId>,
    /// Consumables used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<Quantity>,
    /// The question that is answered here, with the part in view.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asks: Option<QuestionId>,
    /// What must be seen or measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<Reading>,
    /// What a reading that fails means for the work. Absent: it is noted, and the work goes on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_failure: Option<OnFailure>,
    /// Of a final check: it is done before the unit is live again.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub before_power: bool,
    /// Values that are written down here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub records: Vec<Record>,
    /// What must be confirmed before work continues.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confirm: Option<Text>,
    /// How many people it takes, at least 1; absent: as many as its hazards demand, else one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<u8>,
    /// What must be at hand besides the tool: ids of the kit list.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<KitId>,
    /// The elements whose times add up to the estimate.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elements: Vec<ElementCount>,
    /// A measured time instead of the elements.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub measured: Option<Measured>,
    /// A wait that begins at the end of this step.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starts_wait: Option<StartsWait>,
    /// The wait that must be over before this step begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_wait: Option<WaitId>,
    /// A time limit that begins at the end of this step ("fit within 10 minutes").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starts_limit: Option<StartsWait>,
    /// The time limit that this step must be done within; it began in the same operation, or
    /// on the way out of the same part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends_limit: Option<WaitId>,
}

/// A number of equal elements.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ElementCount {
    /// Which element.
    pub element: Element,
    /// How many.
    #[serde(default = "one")]
    pub count: u16,
}

const fn one() -> u16 {
    1
}

/// A time that the author has measured.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Measured {
    /// Mean, s.
    pub seconds: f64,
    /// Coefficient of variation (standard deviation over mean).
    pub cv: f64,
}

/// An amount of a consumable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Quantity {
    /// Which one.
    pub consumable: ConsumableId,
    /// How much, in the consumable's unit.
    pub quantity: f64,
}

/// Something to see or measure.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Reading {
    /// A value with its unit and limits; at least one limit is given.
    Value {
        /// What is measured.
        what: Text,
        /// Unit of measure.
        unit: Text,
        /// Lowest value that passes.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        low: Option<f64>,
        /// Highest value that passes.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        high: Option<f64>,
    },
    /// Something that is seen or heard, or not: it passes when it is.
    Seen(Text),
}

/// What a reading that fails means for the work.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum OnFailure {
    /// The work stops here until it passes; the words say what to do instead. Every reading
    /// of an isolation stops the work.
    Stop(Text),
    /// The source was not isolated after all: it is isolated again before anything else,
    /// and then the reading is asked for again.
    Isolate(PartId),
    /// Something is adjusted, and then the reading is taken again.
    Adjust(Adjustment),
    /// This task is offered, with its time.
    Add(AddedTask),
}

/// How something is adjusted until a reading passes. It is done where the reading is taken: with
/// the same tool, the same side up, and the same sources isolated or live.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Adjustment {
    /// What to do each time, in order.
    #[serde(rename = "do")]
    pub actions: Vec<Text>,
    /// The most adjustments; after that the reading can only be recorded as failed.
    pub at_most: u8,
    /// How many adjustments a job needs on average, for the estimate.
    pub expected: f64,
    /// The elements of one adjustment, without taking the reading again.
    pub elements: Vec<ElementCount>,
}

/// A task that a failed reading suggests.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum AddedTask {
    /// Replace the part.
    Replace(PartId),
    /// Reseat the part.
    Reseat(PartId),
    /// Inspect the part.
    Inspect(PartId),
    /// Run the service operation.
    Serve(ServiceId),
}

/// A wait, or a time limit, that begins when its step ends. Other steps may run meanwhile. A
/// time limit never stops the work.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct StartsWait {
    /// Its id.
    pub id: WaitId,
    /// What is waited for ("the glue sets"); what must be done in time, and why.
    pub text: Text,
    /// How long, s.
    pub seconds: u32,
}
