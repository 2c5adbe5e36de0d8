//! The catalog file, `lidoff-catalog/1`: one JSON document a unit.
//!
//! These types say what *can be written*; nothing here has been checked. Ids are
//! plain words that refer to each other by name. Field names are in
//! `snake_case`, the words of an enumeration in `kebab-case`. Unknown fields are
//! refused, so that a misspelt field is an error and not a silence.

mod condition;
mod element;
mod face;
mod hardware;
mod hazard;
mod id;
mod part;
mod step;
mod unit;

pub use condition::{Condition, Formula};
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
pub use unit::{
    Answer, Asked, CatalogFile, ChangeTimes, FormatTag, Question, UnitHead, UnitOption,
};

/// Words shown to a person, in the catalog's own language.
pub type Text = String;
