//! Ids: the names by which catalog entries refer to each other.

use serde::{Deserialize, Serialize};

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),+ $(,)?) => {$(
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
        #[serde(transparent)]
        pub struct $name(pub String);

        impl $name {
            /// The id as written in the file.
            pub fn as_str(&self) -> &str {
                &self.0
            }
        }

        impl From<&str> for $name {
            fn from(word: &str) -> Self {
                Self(word.to_owned())
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(&self.0)
            }
        }
    )+};
}

ids! {
    /// Names a part.
    PartId,
    /// Names a service operation.
    ServiceId,
    /// Names a step; unique in the whole catalog and kept from one revision to
    /// the next, because measured times are gathered under it.
    StepId,
    /// Names a tool.
    ToolId,
    /// Names a face of the unit.
    FaceId,
    /// Names a kind of fastener.
    FastenerId,
    /// Names a set of fasteners that are undone together.
    FasteningId,
    /// Names one end of a cable on one port.
    ConnectionId,
    /// Names something used up.
    ConsumableId,
    /// Names a part that can be ordered.
    SpareId,
    /// Names something a unit may or may not be fitted with.
    OptionId,
    /// Names a question to the technician.
    QuestionId,
    /// Names one answer to a question.
    AnswerId,
    /// Names a hazard.
    HazardId,
    /// Names a reused piece that moves to the new part.
    HandBackId,
    /// Names something that the job needs besides tools and spares.
    KitId,
    /// Names a wait or a time limit.
    WaitId,
    /// Names a value that is written down.
    RecordId,
}
