//! The catalog file, `lidoff-catalog/2`: one JSON document for each unit.
//!
//! These types describe what *can be written*; nothing here has been checked. Ids are
//! plain words that refer to each other by name. Field names are in `snake_case`,
//! enumeration values in `kebab-case`. Unknown fields are rejected, so that a misspelt
//! field is an error and is not silently ignored.
//!
//! Several of these types have a checked counterpart of the same name in
//! [`model`](super::model). Where the two could be confused, the type of this module is
//! written with its module name, `format::Step`. A checked value keeps its source in
//! the field `entry`.

mod condition;
mod element;
mod face;
mod hardware;
mod hazard;
mod id;
mod part;
mod record;
mod source;
mod step;
mod text;
mod unit;

pub use condition::{Condition, ConditionEntry, Formula, FormulaEntry};
pub use element::Element;
pub use face::{Face, Feature, Flip, Motion, Opposite, Point, Shape};
pub use hardware::{
    Connection, Consumable, Disposal, Drive, DriveSystem, Fastener, FastenerKind, Fastening, Head,
    KitClass, KitItem, Locking, PointShape, ReuseClass, Spare, Tool, ToolClass, ToolKind, Torque,
    TorqueRange,
};
pub use hazard::{Demand, Hazard, HazardClass, Scope, SignalWord};
pub use id::{
    AnswerId, ConnectionId, ConsumableId, FaceId, FastenerId, FasteningId, HandBackId, HazardId,
    KitId, OptionId, PartId, QuestionId, RecordId, ServiceId, SpareId, StepId, ToolId, WaitId,
};
pub use part::{HandBack, Inspect, Leg, OrderAnchor, Part, ReachedState, Reseat, Service, Swap};
pub use record::{OldOrNew, Pattern, Record, RecordKind};
pub use source::{Condemned, Source, SourceKind};
pub use step::{
    AddedTask, Adjustment, ElementCount, Measured, OnFailure, Quantity, Reading, StartsWait, Step,
};
pub use text::Text;
pub use unit::{
    Answer, Asked, CatalogFile, ChangeTimes, FormatTag, Question, UnitHead, UnitOption,
};
