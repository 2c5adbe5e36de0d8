//! The catalog file, `lidoff-catalog/1`: one JSON document for each unit.
//!
//! These types say what *can be written*; nothing here has been checked. Ids are
//! plain words that refer to each other by name. Field names are in
//! `snake_case`, the words of an enumeration in `kebab-case`. Unknown fields are
//! refused, so that a misspelt field is an error and not a silence.
//!
//! Several of these types have a checked counterpart of the same name in
//! [`model`](super::model). Wherever both can be meant, this one is written with its
//! module, `format::Step`, and a checked value keeps the one that it was made from in
//! its field `entry`.

mod condition;
mod element;
mod face;
mod hardware;
mod hazard;
mod id;
mod part;
mod step;
mod text;
mod unit;

pub use condition::{Condition, ConditionEntry, Formula, FormulaEntry};
pub use element::Element;
pub use face::{Face, Feature, Flip, Motion, Opposite, Point, Shape};
pub use hardware::{
    Connection, Consumable, Drive, DriveSystem, Fastener, FastenerKind, Fastening, ReuseClass,
    Spare, Tool, ToolClass, ToolKind, Torque,
};
pub use hazard::{Demand, Hazard, HazardClass, SignalWord};
pub use id::{
    AnswerId, ConnectionId, ConsumableId, FaceId, FastenerId, FasteningId, HandBackId, HazardId,
    OptionId, PartId, QuestionId, ServiceId, SpareId, StepId, ToolId, WaitId,
};
pub use part::{HandBack, Inspect, Leg, OrderAnchor, Part, ReachedState, Reseat, Service, Swap};
pub use step::{ElementCount, Measured, Quantity, Reading, StartsWait, Step};
pub use text::Text;
pub use unit::{
    Answer, Asked, CatalogFile, ChangeTimes, FormatTag, Question, UnitHead, UnitOption,
};
