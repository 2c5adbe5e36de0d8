//! A plan, as it was when it was made.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{AnswerId, Hazard, HazardId, PartId, QuestionId, Text};
use lidoff_estimate::Band;

use super::materials::Used;
use super::old_part::OldPart;
use super::step::PlannedStep;

/// The remaining steps in order, with their times.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanSnapshot {
    /// The steps, in order.
    pub steps: Vec<PlannedStep>,
    /// Expected time of all steps: work, changes and waiting, s.
    pub total_s: f64,
    /// Lower bound for all legal plans, s, if the search met its limit; `None` if the plan
    /// is proven optimal.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least_s: Option<f64>,
    /// The same total as a band.
    pub band: Band,
    /// The hazards that its steps name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<Hazard>,
    /// The energy sources of the unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sources: Vec<PowerSource>,
    /// Names of the kit that its steps and their hazards need, protection first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<Text>,
    /// What only another answer to a question needs that a step asks.
    #[serde(default, skip_serializing_if = "MayNeed::is_empty")]
    pub may_need: MayNeed,
    /// What must be done with the parts that it replaces.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub old_parts: Vec<OldPart>,
    /// The answers that the plan depends on, given or assumed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<RestsOn>,
}

/// What may be needed besides: a swollen battery is found only when the unit is open.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MayNeed {
    /// Names of kit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<Text>,
    /// Consumables.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<Used>,
}

impl MayNeed {
    const fn is_empty(&self) -> bool {
        self.kit.is_empty() && self.uses.is_empty()
    }
}

/// An energy source, as its catalog describes it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PowerSource {
    pub id: PartId,
    pub name: Text,
    /// The power line while it is isolated ("Mains locked off").
    pub isolated: Text,
    /// The power line while it is live ("Mains on").
    pub live: Text,
    /// The sources that feed it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fed_by: Vec<PartId>,
    /// After a pause of this many minutes its isolation is verified again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verify_after_minutes: Option<u16>,
}

/// An answer that a plan depends on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RestsOn {
    pub question: QuestionId,
    /// The question in words.
    pub text: Text,
    pub answer: AnswerId,
    /// The answer in words.
    pub answer_text: Text,
    /// Whether it was given; otherwise it is assumed.
    pub given: bool,
}

impl PlanSnapshot {
    /// Whether no legal plan is cheaper.
    pub const fn is_proven(&self) -> bool {
        self.at_least_s.is_none()
    }

    /// The hazard of that name, if a step of this plan names it.
    pub fn hazard(&self, id: &HazardId) -> Option<&Hazard> {
        self.hazards.iter().find(|hazard| hazard.id == *id)
    }
}
