//! The rules that an operation, or the end of a plan, can break.

use lidoff_catalog::model::{ConnectionIx, FasteningIx, Needs, OpIx, PartIx, ServiceIx};
use lidoff_planner::{PartState, Task};

/// A rule that can be broken.
#[derive(Clone, Debug, PartialEq)]
pub enum Violation {
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
    Needs(Needs),
    /// Something must hold besides before it goes back.
    RefitNeeds(Needs),
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
