//! The rules that an operation, or the end of a plan, can break.

use lidoff_catalog::model::{ConnectionIx, FasteningIx, OpIx, PartIx, ResolvedFormula, ServiceIx};
use lidoff_planner::{PartState, Task};

#[derive(Clone, Debug, PartialEq)]
pub enum Violation {
    /// The state or the prices have not the parts or the steps of this unit.
    AnotherUnit,
    /// This unit does not have the part or service.
    NotFitted,
    /// The catalog does not offer this.
    NotOffered,
    /// The part is not in the state from which this begins.
    WrongState {
        part: PartIx,
        is: PartState,
        /// The state that it must be in, or have reached.
        must_be: PartState,
    },
    /// The part is away with its carrier, and this is done in the unit.
    Away(PartIx),
    /// The part's carrier is on, and this is done on the bench.
    CarrierOn(PartIx),
    /// A source is made live on a unit that goes out of use.
    OutOfUse(PartIx),
    /// The `needs` do not hold.
    Needs(ResolvedFormula),
    /// The `refit_needs` do not hold.
    RefitNeeds(ResolvedFormula),
    /// No task asks for it, or the task is done.
    NotAsked(Task),
    /// This rider moves over and is still on the old part.
    StillOnOldPart(PartIx),
    /// This service is still to be done and comes before.
    ComesFirst(ServiceIx),
    /// The service comes after this.
    ComesAfter(OpIx),
    AlreadyUndone(FasteningIx),
    NotUndone(FasteningIx),
    /// The cable is unplugged already.
    AlreadyUnplugged(ConnectionIx),
    /// The cable is not unplugged.
    NotUnplugged(ConnectionIx),
    TaskLeft(Task),
    StillOpen(PartIx),
    /// Fasteners that came out are not accounted for at the end.
    TallyOpen(FasteningIx),
    /// A cable is unplugged at the end.
    CableOpen(ConnectionIx),
    /// The clock cannot count so many tenths of a second.
    TooLong,
}
