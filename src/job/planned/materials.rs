//! What a step handles besides its part: fasteners, cables, consumables, reused
//! pieces.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{
    ConnectionId, ConsumableId, Fastener, FastenerId, FasteningId, HandBackId, Head, Locking,
    PartId, PointShape, Text, Torque, WaitId,
};
use lidoff_i18n::{fastener_size, localize, torque, tr, tr_noop};

use super::defaults::is_false;

/// Fasteners of one kind that are undone or done up together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fasteners {
    /// The set.
    pub fastening: FasteningId,
    pub kind: FastenerId,
    /// Name of the kind ("black countersunk screw").
    pub name: Text,
    /// Size of the kind, unless the name contains it. Older logs have the size in the name
    /// ("black countersunk screw, M3 × 8"); they are shown as written.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub size: Option<FastenerSize>,
    /// The part that they hold.
    pub part: PartId,
    /// Its name.
    pub part_name: Text,
    /// How many.
    pub count: u16,
    /// The well for them while they are out; `None` for captive ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub well: Option<u16>,
    /// They stay with their part when undone.
    #[serde(default, skip_serializing_if = "is_false")]
    pub captive: bool,
    /// The old ones are discarded, new ones go in.
    #[serde(default, skip_serializing_if = "is_false")]
    pub single_use: bool,
    /// Head, point, property class and locking, as far as the catalog gives them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub details: Vec<Text>,
    /// Torque to which they are tightened, where the catalog gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Torque>,
}

/// Size of a fastener, as far as its catalog gives it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FastenerSize {
    /// Designation of the thread ("M3").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<Text>,
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
}

/// What sets a kind of fastener apart besides its size: head, point, property class, locking.
pub fn fastener_details(kind: &Fastener) -> Vec<Text> {
    let head = kind.head.map(|head| match head {
        Head::Pan => tr_noop!("pan head"),
        Head::Countersunk => tr_noop!("countersunk head"),
        Head::Cheese => tr_noop!("cheese head"),
        Head::Button => tr_noop!("button head"),
        Head::Flat => tr_noop!("low flat head"),
        Head::Hexagon => tr_noop!("hexagon head"),
        Head::Thumb => tr_noop!("thumbscrew"),
    });
    let point = kind.point.map(|point| match point {
        PointShape::Flat => tr_noop!("flat point"),
        PointShape::Rounded => tr_noop!("rounded point"),
        PointShape::Cone => tr_noop!("cone point"),
        PointShape::Cup => tr_noop!("cup point"),
        PointShape::Dog => tr_noop!("dog point"),
    });
    let locking = kind.locking.and_then(|locking| match locking {
        Locking::None => None,
        Locking::Patch => Some(tr_noop!("locking patch")),
        Locking::Adhesive => Some(tr_noop!("thread lock")),
        Locking::Washer => Some(tr_noop!("locking washer")),
    });
    let forming = kind.thread_forming.then_some(tr_noop!("thread-forming"));
    let class = kind.property_class.as_deref();
    let all = [head, point, class, locking, forming];
    all.into_iter().flatten().map(str::to_owned).collect()
}

impl Fasteners {
    /// Name and size, in the language and the units chosen: "black countersunk screw,
    /// M3 × 8".
    pub fn describe_kind(&self) -> Cow<'_, str> {
        let name = localize(&self.name);
        let size = self.size.as_ref();
        match size.and_then(|size| fastener_size(size.thread.as_deref(), size.length_mm)) {
            Some(size) => Cow::Owned(format!("{name}, {size}")),
            None => name,
        }
    }

    /// Head, point, property class and locking: "pan head, class 8.8, locking patch".
    pub fn describe_details(&self) -> Option<String> {
        // Only a property class has a digit.
        let words = |one: &Text| match one.contains(|char: char| char.is_ascii_digit()) {
            true => tr!("class {class}", class = one),
            false => localize(one).into_owned(),
        };
        let details: Vec<String> = self.details.iter().map(words).collect();
        (!details.is_empty()).then(|| details.join(", "))
    }

    /// The torque in both units, with its tolerance.
    pub fn describe_torque(&self) -> Option<String> {
        let Torque { nm, tolerance_nm } = self.torque?;
        Some(torque(nm, tolerance_nm))
    }
}

/// One cable on one port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    pub connection: ConnectionId,
    /// What is printed on the cable, or how to know it.
    pub cable: Text,
    /// What is printed by the port.
    pub port: Text,
    /// If a swap would not be noticed: with which port, and what happens then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unseen_swap: Option<Text>,
}

/// An amount of a consumable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Used {
    /// Which one.
    pub consumable: ConsumableId,
    pub name: Text,
    /// How much.
    pub quantity: f64,
    /// Unit of the quantity.
    pub unit: Text,
}

/// A reused piece that moves from the old part to the new one.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandBackPiece {
    /// The piece.
    pub id: HandBackId,
    pub name: Text,
}

/// A wait, or a time limit, that a step starts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WaitStarted {
    /// The wait.
    pub id: WaitId,
    /// What is waited for; what must be done in time.
    pub text: Text,
    /// How long, s.
    pub seconds: u32,
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.6 N·m by the factor of NIST SP 811:2008, B.8: 0.6 / 0.112 984 8
    /// = 5.310 in·lbf; and 0.1 / 0.112 984 8 = 0.885.
    #[test]
    fn a_torque_is_shown_in_both_units_with_its_tolerance() {
        let set: Fasteners = serde_json::from_value(serde_json::json!({
            "fastening": "cover", "kind": "m3", "name": "M3", "part": "cover",
            "part_name": "Cover", "count": 4, "torque": { "nm": 0.6, "tolerance_nm": 0.1 },
        }))
        .expect("a set");
        assert_eq!(
            set.describe_torque().as_deref(),
            Some("0.60 ± 0.10 N·m (5.3 ± 0.9 in·lbf)")
        );
    }

    fn set(more: &serde_json::Value) -> Fasteners {
        let mut set = serde_json::json!({
            "fastening": "cover", "kind": "m3", "name": "pan head screw", "part": "cover",
            "part_name": "Cover", "count": 4,
        });
        let more = more.as_object().expect("fields");
        set.as_object_mut().expect("fields").extend(more.clone());
        serde_json::from_value(set).expect("a set")
    }

    #[test]
    fn a_fastener_is_described_by_its_name_and_its_size() {
        let sized = set(&serde_json::json!({"size": {"thread": "M3", "length_mm": 8.0}}));
        assert_eq!(sized.describe_kind(), "pan head screw, M3 × 8");
        let no_length = set(&serde_json::json!({"size": {"thread": "M3"}}));
        assert_eq!(no_length.describe_kind(), "pan head screw, M3");
        assert_eq!(
            set(&serde_json::json!({})).describe_kind(),
            "pan head screw"
        );
    }

    #[test]
    fn a_log_from_before_there_were_sizes_shows_the_name_as_it_was_written() {
        let old = set(&serde_json::json!({"name": "pan head screw, M3 × 8"}));
        assert_eq!(old.size, None);
        assert_eq!(old.describe_kind(), "pan head screw, M3 × 8");
    }
}
