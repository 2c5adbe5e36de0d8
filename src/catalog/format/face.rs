//! Face drawings: enough data for the app to draw a face and mark what to undo.

use serde::{Deserialize, Serialize};

use super::{FaceId, FormulaEntry, Text};

/// A side of the unit that can be up.
///
/// Coordinates are millimetres, x to the right and y downward, seen from outside
/// with this face toward the viewer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Face {
    /// Id of the face.
    pub id: FaceId,
    /// Its name for the technician.
    pub name: Text,
    /// How to bring it up ("lay the unit on its lid, hinge away from you").
    pub turn: Text,
    /// What must be open or in place while it is up ("not on its side while the tank is
    /// fitted").
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub needs: FormulaEntry,
    /// What moves to bring it up: the unit, or the technician.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub motion: Option<Motion>,
    /// The face on the other side. Give it on one of the two; it applies to both.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub opposite: Option<Opposite>,
    /// Width of the drawing, mm.
    pub width_mm: f64,
    /// Height of the drawing, mm.
    pub height_mm: f64,
    /// The outline as a closed polygon; a plain rectangle when empty.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub outline: Vec<Point>,
    /// Landmarks on it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub features: Vec<Feature>,
}

fn is_nothing(needs: &FormulaEntry) -> bool {
    *needs == FormulaEntry::nothing()
}

/// What is moved to bring a face up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Motion {
    /// The unit, or a part of it, is turned or laid down.
    Turn,
    /// The technician walks round the unit.
    Walk,
    /// The technician looks down from above.
    LookDown,
    /// The technician looks up from below.
    LookUp,
}

/// How a face lies on the one on its other side.
///
/// With both drawn as seen from outside, a thing at (x, y) on the other face,
/// counted from the corner that is given here, lies on this one at (width − x, y)
/// where the flip is left to right, and at (x, height − y) where it is top to
/// bottom.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Opposite {
    /// The other face.
    pub face: FaceId,
    /// How one face is flipped to show the other.
    pub flip: Flip,
    /// Left edge of what this face shows, on the other one's drawing, mm.
    #[serde(default)]
    pub x: f64,
    /// Upper edge of what this face shows, on the other one's drawing, mm.
    #[serde(default)]
    pub y: f64,
}

/// Which way a thing is flipped to show its other side.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case")]
pub enum Flip {
    /// Like a page: what was left is right, what was on top stays there.
    LeftRight,
    /// Like the sheet of a wall calendar: what was on top is at the bottom.
    TopBottom,
}

/// A place on a face, mm.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Point {
    /// To the right, mm.
    pub x: f64,
    /// Downward, mm.
    pub y: f64,
}

/// Something drawn on a face.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Feature {
    /// Its shape.
    pub shape: Shape,
    /// The text printed next to it, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub label: Option<Text>,
    /// The part that it shows, if any: the drawing highlights it during work on that part.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub part: Option<super::PartId>,
}

/// A shape on a face; all measures in mm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Shape {
    /// A rectangle from its upper left corner.
    Rect {
        /// Left edge.
        x: f64,
        /// Upper edge.
        y: f64,
        /// Width.
        w: f64,
        /// Height.
        h: f64,
        /// Corner radius.
        #[serde(default)]
        r: f64,
    },
    /// A circle.
    Circle {
        /// Centre, to the right.
        x: f64,
        /// Centre, downward.
        y: f64,
        /// Radius.
        r: f64,
    },
    /// An open line.
    Line(Vec<Point>),
}
