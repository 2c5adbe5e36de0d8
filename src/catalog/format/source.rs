//! Energy sources: what can hurt until it is isolated, and how that is done.

use serde::{Deserialize, Serialize};

use super::{ConditionEntry, Connection, Leg, PartId, Text};

/// A source of energy (mains, battery, stored charge, spring, heat).
///
/// A source is *live* or *isolated*. Every source is live when the job begins and when the
/// unit is handed over. Its id shares one name space with the parts, so a formula names
/// either.
///
/// By default every operation on a part needs every source isolated. A part or leg lists the
/// exceptions under `may_be_live`; a source that reaches only some parts lists those.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// Id of the source.
    pub id: PartId,
    /// Its name for the technician.
    pub name: Text,
    /// What it is and where.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Text>,
    /// What kind of energy it is.
    pub kind: SourceKind,
    /// The units that have it; absent if all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
    /// Sources that charge it: it can be isolated only while these are, and when one of
    /// them is live, so is this one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fed_by: Vec<PartId>,
    /// The parts within its reach; absent if it reaches all of them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reach: Option<Vec<PartId>>,
    /// The power line while it is isolated ("Mains locked off").
    pub isolated: Text,
    /// The power line while it is live ("Mains on").
    pub live: Text,
    /// After a pause of this many minutes, the readings of the isolation are asked for again;
    /// absent if a pause changes nothing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub verify_after_minutes: Option<u16>,
    /// When it must not be made live again.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub condemned: Option<Condemned>,
    /// Its cables, where isolating it unplugs one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub connections: Vec<Connection>,
    /// The way out isolates it and proves it; the way back makes it live. Sources need not
    /// be isolated for it unless `needs` says so.
    pub isolation: Leg,
    /// Other ways of isolating it (from above, from below). It may be made live by another
    /// way than it was isolated by.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub other_isolations: Vec<Leg>,
}

/// A source that must not be made live again: a swollen battery that nobody replaces. The unit
/// can then only be closed out of use, without a part that can be left out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Condemned {
    /// When that is so.
    pub when: ConditionEntry,
    /// What to do instead.
    pub words: Text,
}

/// Kinds of energy.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum SourceKind {
    /// The building's supply, or an adapter on it.
    Mains,
    /// A cell or a pack.
    Battery,
    /// Charge that stays in capacitors.
    StoredCharge,
    /// Something hot.
    Heat,
    /// A tensioned or lifted part.
    Spring,
    /// Pressure, gas or liquid.
    Pressure,
}

impl Source {
    /// The source in the form of a part: *fitted* while it is live, *off* while it is
    /// isolated. Planning, tallies and positions then need not tell the two apart.
    pub(crate) fn as_part(&self) -> super::Part {
        super::Part {
            id: self.id.clone(),
            name: self.name.clone(),
            about: self.about.clone(),
            like: None,
            when: self.when.clone(),
            rides_on: None,
            mass_kg: None,
            fastenings: Vec::new(),
            connections: self.connections.clone(),
            may_be_live: Vec::new(),
            ease: None,
            take_off: Some(self.isolation.clone()),
            other_ways: self.other_isolations.clone(),
            bench_off: None,
            swap: None,
            leave_out: Vec::new(),
            reseat: None,
            inspect: None,
        }
    }
}
