//! The catalog file itself, and its head.

use serde::{Deserialize, Serialize};

use super::{
    AnswerId, Consumable, Face, Fastener, Hazard, OptionId, Part, QuestionId, Service, Spare, Step,
    Text, Tool,
};

/// One unit's catalog, as written.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[cfg_attr(not(target_arch = "wasm32"), schemars(title = "Lidoff unit catalog"))]
#[serde(deny_unknown_fields)]
pub struct CatalogFile {
    /// Where an editor finds the schema; not read.
    #[serde(default, rename = "$schema", skip_serializing_if = "Option::is_none")]
    pub schema: Option<String>,
    /// Which format this is.
    pub format: FormatTag,
    /// The unit.
    pub unit: UnitHead,
    /// What a change of tool and a turn of the unit cost here, where measured.
    #[serde(default)]
    pub changes: ChangeTimes,
    /// Sides that can be up. The first is up when the job begins.
    pub faces: Vec<Face>,
    /// Tools.
    pub tools: Vec<Tool>,
    /// Kinds of fastener.
    pub fasteners: Vec<Fastener>,
    /// What is used up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub consumables: Vec<Consumable>,
    /// What can be ordered.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spares: Vec<Spare>,
    /// What this unit may or may not be fitted with.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub options: Vec<UnitOption>,
    /// What only the technician can see or know.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub questions: Vec<Question>,
    /// Hazards of this step.
    pub hazards: Vec<Hazard>,
    /// Done first, in this order, whatever the tasks.
    pub make_safe: Vec<Step>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Service operations.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub services: Vec<Service>,
    /// Checks of the whole unit after refit, whatever the tasks.
    pub prove: Vec<Step>,
    /// Done last, in this order.
    pub hand_over: Vec<Step>,
}

/// The one format that this version reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub enum FormatTag {
    /// The first version of the format.
    #[serde(rename = "lidoff-catalog/1")]
    V1,
}

/// What the unit is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct UnitHead {
    /// Names the unit; the same as the file's name without `.json`.
    pub id: String,
    /// What it is called.
    pub name: Text,
    /// What sort of device it is.
    pub kind: Text,
    /// Revision of this catalog.
    pub revision: Text,
    /// A sentence or two on what it is.
    pub about: Text,
    /// Where its own safety documents are, which govern.
    pub safety: Text,
    /// Where its figures come from; for a demo unit, that they are invented.
    pub source: Text,
}

/// What a change costs on this unit, s; handbook figures where absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ChangeTimes {
    /// Lay one tool down and take up another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool_s: Option<f64>,
    /// Bring another face up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_s: Option<f64>,
}

/// Something a unit may or may not be fitted with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct UnitOption {
    /// Names the option.
    pub id: OptionId,
    /// What the technician calls it.
    pub name: Text,
    /// Options of one group exclude each other, and one of them is always there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<Text>,
    /// Whether it is fitted unless said otherwise.
    #[serde(default)]
    pub usual: bool,
}

/// Something that only the technician can see or know.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Names the question.
    pub id: QuestionId,
    /// The question.
    pub text: Text,
    /// When it can be answered.
    pub asked: Asked,
    /// The answers.
    pub answers: Vec<Answer>,
    /// The answer that a plan assumes until there is one.
    pub assumed: AnswerId,
}

/// When a question can be answered.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Asked {
    /// Before the job.
    Before,
    /// Only with the part in view; a step asks it.
    InView,
    /// How something was found; a strip-down step asks it and the answer
    /// governs refit.
    AsFound,
}

/// One answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Answer {
    /// Names the answer.
    pub id: AnswerId,
    /// The answer.
    pub text: Text,
}
