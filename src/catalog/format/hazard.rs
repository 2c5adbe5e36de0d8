//! Hazards, and what each requires before work continues.

use serde::{Deserialize, Serialize};

use super::{ConditionEntry, HazardId, KitId, PartId, StepId, Text};

/// A hazard.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Hazard {
    /// Id of the hazard.
    pub id: HazardId,
    /// What kind of harm it can do.
    pub class: HazardClass,
    /// Signal word, by the severity of the harm.
    pub signal: SignalWord,
    /// What it is, and what happens if it is ignored.
    pub text: Text,
    /// What must be done before work continues.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub demands: Vec<Demand>,
    /// What must be at hand before work continues: ids of the kit list.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<KitId>,
    /// How long its control holds once it is confirmed.
    #[serde(default, skip_serializing_if = "Scope::is_step")]
    pub lasts: Scope,
    /// Steps that end it sooner, as soon as they are done ("strap off").
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub ended_by: Vec<StepId>,
    /// Hazards whose control ends when this one is confirmed: other gloves, the strap taken off.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<HazardId>,
    /// Its name on a badge while its control holds ("Wrist strap"): at most 24 characters.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub short: Option<Text>,
    /// The units that have it; absent if all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
}

impl Hazard {
    /// Letters that the short name of a hazard may have.
    pub const SHORT_NAME_LENGTH: usize = 24;

    /// How many people it demands, at least 1.
    pub fn people(&self) -> u8 {
        let demanded = self.demands.iter().map(|demand| match demand {
            Demand::People(people) => *people,
            _ => 1,
        });
        demanded.max().unwrap_or(1).max(1)
    }
}

/// How long the control of a hazard holds once it is confirmed. After a pause it is always
/// asked for again.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Scope {
    /// For one step.
    #[default]
    Step,
    /// While this part is off or eased.
    WhileOpen(PartId),
    /// While this source is isolated.
    WhileIsolated(PartId),
    /// While this source is live.
    WhileLive(PartId),
    /// Until this step is done ("strap off").
    Until(StepId),
    /// For the whole job.
    Job,
}

impl Scope {
    const fn is_step(&self) -> bool {
        matches!(self, Self::Step)
    }
}

/// Kinds of harm, to people or to things.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum HazardClass {
    /// Mains and other live voltage.
    Electricity,
    /// Charge that stays after unplugging.
    StoredCharge,
    /// A cell that burns when pierced, bent or shorted.
    Cell,
    /// Glass that breaks.
    Glass,
    /// Edges and points that cut.
    Sharp,
    /// Parts that pinch, springs that fly.
    Moving,
    /// Hot surfaces.
    Heat,
    /// Too heavy for one.
    Weight,
    /// Work at height; things that can fall.
    Height,
    /// Light that harms the eye.
    Light,
    /// Substances.
    Substance,
    /// Static charge that kills the unit's parts; nobody is hurt.
    Static,
    /// Damage to the unit or loss of data; nobody is hurt.
    Property,
}

impl HazardClass {
    /// Whether it can hurt a person.
    pub const fn hurts_people(self) -> bool {
        !matches!(self, Self::Static | Self::Property)
    }
}

/// Signal words in the sense of ANSI Z535.4-2007, 4.14. Ordered from the least
/// to the greatest.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SignalWord {
    /// Practices not related to personal injury.
    Notice,
    /// Could result in minor or moderate injury.
    Caution,
    /// Could result in death or serious injury.
    Warning,
    /// Will result in death or serious injury if not avoided.
    Danger,
}

/// What a hazard requires before work continues.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Demand {
    /// Cut off from its supply and kept from being put back; the words say how.
    Isolate(Text),
    /// Wait, in whole minutes.
    WaitMinutes(u16),
    /// This many people. A step with this hazard needs as many; see `people` of a step.
    People(u8),
    /// Protective equipment to wear.
    Wear(Text),
    /// Something else, in words.
    Do(Text),
}
