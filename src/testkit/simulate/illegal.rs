//! Why an operation may not be done, in words of the trade.

use std::fmt;

use lidoff_catalog::model::{
    Catalog, ConnectionIx, FasteningIx, OpIx, PartIx, ResolvedFormula, ServiceIx,
};
use lidoff_planner::{Op, PartState, Task};

use super::words;

/// A rule that was broken, and where.
#[derive(Clone, Debug, PartialEq)]
pub struct Illegal {
    /// Place of the operation in the plan, from 0; the plan's length when the
    /// end is at fault.
    pub at: usize,
    /// The operation; `None` when the start or the end is at fault.
    pub op: Option<Op>,
    /// The rule that was broken.
    pub why: Why,
    said: String,
}

/// A rule that can be broken.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// The state or the prices do not have the parts or steps of this unit.
    AnotherUnit,
    /// This unit is not fitted with it.
    NotFitted,
    /// The catalog gives no such way.
    NotOffered,
    /// The part is not in the state that this begins from.
    WrongState {
        /// The part.
        part: PartIx,
        /// Its own state.
        is: PartState,
        /// The state that it must be in, or in at least.
        must_be: PartState,
    },
    /// The part is away with its carrier, and this is done in the unit.
    Away(PartIx),
    /// The part's carrier is on, and this is done on the bench.
    CarrierOn(PartIx),
    /// Something stands in the way.
    Needs(ResolvedFormula),
    /// Something must hold besides before it goes back.
    RefitNeeds(ResolvedFormula),
    /// No task asks for it, or it has been done.
    NotAsked(Task),
    /// This rider moves over and is still on the old part.
    StillOnOldPart(PartIx),
    /// This service operation is still to be done and comes first.
    ComesFirst(ServiceIx),
    /// The service operation comes after this.
    ComesAfter(OpIx),
    /// The fastening is undone already.
    AlreadyUndone(FasteningIx),
    /// The fastening is not undone.
    NotUndone(FasteningIx),
    /// The cable is parted already.
    AlreadyParted(ConnectionIx),
    /// The cable is not parted.
    NotParted(ConnectionIx),
    /// A task is left at the end.
    TaskLeft(Task),
    /// A part is not fitted at the end.
    StillOpen(PartIx),
    /// Fasteners that came out are not accounted for at the end.
    TallyOpen(FasteningIx),
    /// A cable is parted at the end.
    CableOpen(ConnectionIx),
    /// More tenths of a second than the clock can count.
    TooLong,
}

impl Illegal {
    pub(super) fn new(catalog: &Catalog, at: usize, op: Option<Op>, why: Why) -> Self {
        let said = match op {
            Some(op) => format!(
                "Operation {}, {}: {}.",
                at + 1,
                words::op(catalog, op),
                words::why(catalog, &why)
            ),
            None if why == Why::AnotherUnit => format!("{}.", words::why(catalog, &why)),
            None => format!("At the end: {}.", words::why(catalog, &why)),
        };
        Self { at, op, why, said }
    }
}

impl fmt::Display for Illegal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.said)
    }
}

impl std::error::Error for Illegal {}
