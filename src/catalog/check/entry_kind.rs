//! The kinds of entry that an id can name, in the author's terms.

use std::fmt;

use lidoff_i18n::{localize_static, tr_noop};

/// What sort of thing it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum EntryKind {
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
    KitItem,
    Limit,
    Option,
    Part,
    Question,
    Record,
    Service,
    Source,
    Spare,
    Step,
    Tool,
    Wait,
}

impl fmt::Display for EntryKind {
    /// In the chosen language. Translated sentences name the kind without an article,
    /// because the article would differ from kind to kind.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(localize_static(match self {
            Self::Answer => tr_noop!("answer"),
            Self::Cable => tr_noop!("cable"),
            Self::Connection => tr_noop!("connection"),
            Self::Consumable => tr_noop!("consumable"),
            Self::Face => tr_noop!("face"),
            Self::Fastener => tr_noop!("fastener"),
            Self::Fastening => tr_noop!("fastening"),
            Self::HandBack => tr_noop!("hand-back"),
            Self::Hazard => tr_noop!("hazard"),
            Self::KitItem => tr_noop!("kit item"),
            Self::Limit => tr_noop!("time limit"),
            Self::Option => tr_noop!("option"),
            Self::Part => tr_noop!("part"),
            Self::Question => tr_noop!("question"),
            Self::Record => tr_noop!("record"),
            Self::Service => tr_noop!("service"),
            Self::Source => tr_noop!("energy source"),
            Self::Spare => tr_noop!("spare"),
            Self::Step => tr_noop!("step"),
            Self::Tool => tr_noop!("tool"),
            Self::Wait => tr_noop!("wait"),
        }))
    }
}
