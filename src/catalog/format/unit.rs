//! The catalog file itself, and its head.

use serde::{Deserialize, Serialize};

use super::{
    AnswerId, Consumable, Face, Fastener, Hazard, KitItem, OptionId, Part, QuestionId, Service,
    Source, Spare, Step, Text, Tool,
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
    /// Times of a tool change and a turn on this unit, if measured.
    #[serde(default)]
    pub changes: ChangeTimes,
    /// Sides that can be up. The first is up when the job begins.
    pub faces: Vec<Face>,
    /// Tools.
    pub tools: Vec<Tool>,
    /// Kinds of fastener.
    pub fasteners: Vec<Fastener>,
    /// Consumables.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub consumables: Vec<Consumable>,
    /// Spare parts.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spares: Vec<Spare>,
    /// What the job needs besides tools, spares and consumables. Steps and hazards name it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<KitItem>,
    /// Options that a unit may be fitted with.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub options: Vec<UnitOption>,
    /// Questions that only the technician can answer.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub questions: Vec<Question>,
    /// The hazards of the unit. Steps refer to them by id.
    pub hazards: Vec<Hazard>,
    /// The energy sources of the unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<Source>,
    /// Done first, in this order, whatever the tasks: what is neither energy nor part
    /// (consent, barrier, mat, condition of the unit).
    pub make_safe: Vec<Step>,
    /// Parts.
    pub parts: Vec<Part>,
    /// Service operations.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub services: Vec<Service>,
    /// Done once the unit is closed and live, before any check: starts the unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub start: Vec<Step>,
    /// Checks of the whole unit, whatever the tasks, after those of the parts.
    pub prove: Vec<Step>,
    /// Done last, in this order.
    pub hand_over: Vec<Step>,
}

/// The formats that this version reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
pub enum FormatTag {
    /// The first version, without energy sources. It is read as if it were the second:
    /// see [`CatalogFile::migrate`].
    #[serde(rename = "lidoff-catalog/1")]
    V1,
    /// The second version.
    #[serde(rename = "lidoff-catalog/2")]
    V2,
}

impl CatalogFile {
    /// The same catalog in the current format.
    ///
    /// The first format had no energy sources, and its one list of final checks began with
    /// switching the unit on. So that list now starts the unit, and the checks of single
    /// parts, which came before it, come after it.
    #[must_use]
    pub fn migrate(mut self) -> Self {
        if self.format == FormatTag::V1 {
            self.format = FormatTag::V2;
            self.start = std::mem::take(&mut self.prove);
        }
        self
    }
}

/// What the unit is.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct UnitHead {
    /// Names the unit; the same as the file's name without `.json`.
    pub id: String,
    /// Its name.
    pub name: Text,
    /// What sort of device it is.
    pub kind: Text,
    /// Revision of this catalog.
    pub revision: Text,
    /// A sentence or two on what it is.
    pub about: Text,
    /// Where the unit's own safety documents are. They take precedence.
    pub safety: Text,
    /// Where its figures come from; for a demo unit, that they are invented.
    pub source: Text,
}

/// Times of changes on this unit, s; the handbook times if absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct ChangeTimes {
    /// Time to put one tool down and pick up another.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool_s: Option<f64>,
    /// Time to bring another face up.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub turn_s: Option<f64>,
}

/// An option that a unit may be fitted with.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct UnitOption {
    /// Id of the option.
    pub id: OptionId,
    /// Its name for the technician.
    pub name: Text,
    /// Options of one group exclude each other, and one of them is always there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub group: Option<Text>,
    /// Whether it is fitted unless the technician says otherwise.
    #[serde(default)]
    pub usual: bool,
}

/// A question that only the technician can answer.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Question {
    /// Id of the question.
    pub id: QuestionId,
    /// The question.
    pub text: Text,
    /// When it can be answered.
    pub asked: Asked,
    /// The answers.
    pub answers: Vec<Answer>,
    /// The answer that a plan assumes until the question is answered.
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
    /// Id of the answer.
    pub id: AnswerId,
    /// The answer.
    pub text: Text,
}
