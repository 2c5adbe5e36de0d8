//! Units of time and of search cost.

/// A time inside the planner, in tenths of a second: whole numbers, so that "equal" is
/// exact and the same on every machine.
pub type Tenths = u32;

/// The search cost of a tenth of a second. The number of disturbed parts lies below it and
/// breaks ties between plans of equal time.
pub const COST_PER_TENTH: u64 = 1 << 12;

/// The whole tenths of a second in a search cost.
pub fn whole_tenths(cost: u64) -> Tenths {
    Tenths::try_from(cost / COST_PER_TENTH).unwrap_or(Tenths::MAX)
}
