//! What sort of thing an id names, as an author calls it.

use std::fmt;

use crate::tongue::{later, spoken};

/// What sort of thing it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Sort {
    Answer,
    /// A connection, where it is plugged or not.
    Cable,
    Connection,
    Consumable,
    Face,
    Fastener,
    Fastening,
    HandBack,
    Hazard,
    Option,
    Part,
    Question,
    Service,
    Spare,
    Step,
    Tool,
    Wait,
}

impl fmt::Display for Sort {
    /// In the language chosen. A translated sentence that names a sort does without
    /// an article: which one it would be differs from sort to sort.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(spoken(match self {
            Self::Answer => later!("answer"),
            Self::Cable => later!("cable"),
            Self::Connection => later!("connection"),
            Self::Consumable => later!("consumable"),
            Self::Face => later!("face"),
            Self::Fastener => later!("fastener"),
            Self::Fastening => later!("fastening"),
            Self::HandBack => later!("hand-back"),
            Self::Hazard => later!("hazard"),
            Self::Option => later!("option"),
            Self::Part => later!("part"),
            Self::Question => later!("question"),
            Self::Service => later!("service"),
            Self::Spare => later!("spare"),
            Self::Step => later!("step"),
            Self::Tool => later!("tool"),
            Self::Wait => later!("wait"),
        }))
    }
}
