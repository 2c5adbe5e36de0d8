//! Tools, fasteners, connections, consumables and spares.

use serde::{Deserialize, Serialize};

use super::{
    ConditionEntry, ConnectionId, ConsumableId, FaceId, FastenerId, FasteningId, KitId, Point,
    SpareId, Text, ToolId,
};

/// A tool.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Tool {
    /// Id of the tool.
    pub id: ToolId,
    /// Its name for the technician.
    pub name: Text,
    /// How easily it can be obtained.
    pub class: ToolClass,
    /// The kind of tool, for its drawing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kind: Option<ToolKind>,
    /// The torques that it can be set to; absent for a tool that has no setting.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<TorqueRange>,
    /// Tools that can do the same work. They are shown; the plan does not choose among them.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub instead: Vec<ToolId>,
}

/// The torques that a torque tool can be set to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct TorqueRange {
    /// Lowest setting, N·m.
    pub low_nm: f64,
    /// Highest setting, N·m.
    pub high_nm: f64,
}

/// What sort of tool it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ToolKind {
    /// A screwdriver.
    Driver,
    /// A driver that lets go at its torque.
    TorqueDriver,
    /// A wrench or a nut driver.
    Wrench,
    /// A key.
    Key,
    /// A lever or a pick.
    Lever,
    /// Tweezers or pliers.
    Tweezers,
    /// A brush, a roller, a vacuum: what goes over a surface.
    Brush,
    /// A lock and its tag.
    Lock,
    /// Something that measures.
    Meter,
    /// Something that is connected or held to, to read or to try.
    Reader,
}

/// How easily a tool can be obtained, in the sense of EN 45554:2020.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ToolClass {
    /// Common hand tools.
    Basic,
    /// Sold for this group of products.
    ProductGroup,
    /// Sold on the open market, but neither of the above.
    Commercial,
    /// Had only from the unit's maker.
    Proprietary,
}

/// A kind of fastener.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Fastener {
    /// Id of the kind.
    pub id: FastenerId,
    /// What it looks like ("black countersunk screw").
    pub name: Text,
    /// Screw, nut, clip…
    pub kind: FastenerKind,
    /// Its drive; absent if it is worked by hand.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drive: Option<Drive>,
    /// Shape of its head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub head: Option<Head>,
    /// Shape of its point, ISO 4753.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub point: Option<PointShape>,
    /// Property class: of a screw by ISO 898-1 ("8.8"), of a nut by ISO 898-2 ("8"), of a set
    /// screw by ISO 898-5 ("45H"), of stainless steel by ISO 3506 ("A2-70").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub property_class: Option<String>,
    /// What keeps it from coming loose; absent if that is not known.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub locking: Option<Locking>,
    /// Whether it forms its own thread. It must find the old thread again when it goes back.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub thread_forming: bool,
    /// Thread ("M3").
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub thread: Option<Text>,
    /// Length, mm: under the head, or over all for a countersunk head.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub length_mm: Option<f64>,
    /// Tightening torque.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Torque>,
    /// Whether it stays with its part when undone and so needs no well.
    #[serde(default)]
    pub captive: bool,
    /// Whether it is single-use: the old one is discarded, a new one is fitted.
    #[serde(default)]
    pub single_use: bool,
    /// Whether it can be used again.
    pub reuse: ReuseClass,
}

/// What sort of fastener it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum FastenerKind {
    /// A screw.
    Screw,
    /// A set screw.
    SetScrew,
    /// A nut.
    Nut,
    /// A threaded pillar.
    Pillar,
    /// A quarter-turn fastener.
    QuarterTurn,
    /// A clip, a circlip, a push rivet.
    Clip,
    /// A latch or slide.
    Latch,
    /// A seal.
    Seal,
}

/// Shape of a screw head.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Head {
    /// Pan head.
    Pan,
    /// Countersunk head; the length is over all.
    Countersunk,
    /// Cheese head (cylinder).
    Cheese,
    /// Button head.
    Button,
    /// Low flat head.
    Flat,
    /// Hexagon head.
    Hexagon,
    /// Knurled thumb head.
    Thumb,
}

/// Shape of a screw point, ISO 4753.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum PointShape {
    /// As rolled or chamfered: the usual point of a machine screw.
    Flat,
    /// Rounded.
    Rounded,
    /// Cone.
    Cone,
    /// Cup.
    Cup,
    /// Dog point: a cylinder that finds the hole.
    Dog,
}

/// What keeps a fastener from coming loose.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Locking {
    /// Nothing but its torque.
    None,
    /// A patch on the thread, from its maker. It wears with each use.
    Patch,
    /// Adhesive that is put on at each refit.
    Adhesive,
    /// A locking washer.
    Washer,
}

/// Whether a fastener can be used again, in the sense of EN 45554:2020.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum ReuseClass {
    /// It goes back in.
    Reusable,
    /// It comes out without harm to the unit, but a new one goes in.
    Removable,
    /// It cannot be undone without harm to the unit.
    Neither,
}

/// What turns a fastener.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Drive {
    /// The recess.
    pub system: DriveSystem,
    /// Its size as printed on the driver ("T10", "1", "2.5 mm").
    pub size: Text,
}

/// Shape of a drive recess.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum DriveSystem {
    /// Six-lobed recess, ISO 10664.
    Hexalobular,
    /// Cross recess, ISO 4757.
    Cross,
    /// A slot.
    Slotted,
    /// Hexagon socket.
    HexSocket,
    /// External hexagon.
    Hexagon,
}

/// Tightening torque.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Torque {
    /// Nominal, N·m.
    pub nm: f64,
    /// Tolerance to either side, N·m.
    pub tolerance_nm: f64,
}

/// A set of fasteners of one kind that are undone and done up together. Steps name the set,
/// so the tally is computed and never typed in.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Fastening {
    /// Id of the set.
    pub id: FasteningId,
    /// Which kind.
    pub fastener: FastenerId,
    /// How many.
    pub count: u16,
    /// The tray well for them while they are out; absent for captive ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub well: Option<u16>,
    /// The face that they are seen on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<FaceId>,
    /// Positions on the face, mm, in the order in which they are undone; `count` points, or
    /// none.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub points: Vec<Point>,
    /// Tightening order as numbers of points, from 1; the order of `points` if empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tighten: Vec<u16>,
    /// Torque here, if it differs from that of the kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Torque>,
    /// The units that have it; absent if all have it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub when: Option<ConditionEntry>,
}

/// One cable on one port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Connection {
    /// Id of the connection.
    pub id: ConnectionId,
    /// What is printed on the cable, or how to recognise it.
    pub cable: Text,
    /// What is printed next to the port.
    pub port: Text,
    /// If a swap would not be noticed: which port it could be swapped with, and what
    /// happens then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unseen_swap: Option<Text>,
}

/// Something used up on the job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Consumable {
    /// Its id.
    pub id: ConsumableId,
    /// Its name for the technician.
    pub name: Text,
    /// Unit of its quantity ("piece", "cm", "pad").
    pub unit: Text,
}

/// A part that can be ordered.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Spare {
    /// Its id.
    pub id: SpareId,
    /// Its name on the box.
    pub name: Text,
    /// Order number; invented in the demo catalogs.
    pub number: Text,
    /// Its price, as it is printed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub price: Option<Text>,
    /// Older order numbers that this one supersedes: a box with one of them is the same part.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub replaces: Vec<String>,
    /// What else is in the box.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub includes: Vec<Text>,
    /// The old part goes back; the words say to whom and how. Absent if it does not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub return_old: Option<Text>,
    /// How the old part must be disposed of; absent for ordinary waste.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub disposal: Option<Disposal>,
}

/// How an old part must be disposed of.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Disposal {
    /// A battery: terminals taped, to a battery collection point.
    Battery,
    /// A lamp with mercury: unbroken, to a lamp collection point.
    LampWithMercury,
    /// Electronics: to a collection point for electrical waste.
    Electronics,
    /// A data carrier: wiped or destroyed first, then as electronics.
    DataCarrier,
}

/// Something that the job needs besides tools, spares and consumables.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct KitItem {
    /// Its id.
    pub id: KitId,
    /// Its name for the technician.
    pub name: Text,
    /// What it is for.
    pub class: KitClass,
}

/// What a kit item is for. Ordered as on the bring list.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum KitClass {
    /// Personal protective equipment.
    Ppe,
    /// The place of work: barrier, mat, fire box.
    Site,
    /// Testing: proving unit, test load.
    Test,
}
