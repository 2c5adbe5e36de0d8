//! The bound for one set of routes, and the least over several.

use crate::bit_set::BitSet;
use crate::cost::COST_PER_TENTH;
use crate::state::PartState;

use super::tool_runs::RemainingRuns;

/// What one set of routes costs at least, without the tool and face changes: those depend
/// on the tool in hand and the face up.
pub struct RouteSetBound {
    /// Work and disturbed parts, in units of search cost.
    pub cost: u64,
    /// The legs of the set.
    pub legs: BitSet,
    pub runs: RemainingRuns,
    /// What is left where a part that must remain in place for something is opened once
    /// more after it, or another route is opened as well; and the work of that in tenths.
    pub with_reopening: Option<(RemainingRuns, u64)>,
}

/// One way to complete a set of routes, before any tool or face change.
pub struct RouteSetWork<'a> {
    pub legs: &'a BitSet,
    /// Work and disturbed parts, in units of search cost.
    pub cost: u64,
    /// The work of opening something once more, in tenths.
    pub reopening: u64,
}

impl RouteSetWork<'_> {
    /// How far open the part must come.
    pub fn wanted_state(&self, part: usize) -> PartState {
        wanted_state(self.legs, part)
    }
}

/// How far open a part must come for these legs.
pub fn wanted_state(legs: &BitSet, part: usize) -> PartState {
    if legs.contains(2 * part + 1) {
        PartState::Off
    } else if legs.contains(2 * part) {
        PartState::Eased
    } else {
        PartState::Fitted
    }
}

/// The least cost of any of these sets, in units of search cost; `extra` gives, in tenths,
/// what comes on top of `RouteSetWork::cost`, the reopening included. The sets are sorted by
/// cost. `None` where there is no set.
pub fn least_cost(
    sets: &mut [RouteSetBound],
    mut extra: impl FnMut(&mut RemainingRuns, RouteSetWork) -> u64,
) -> Option<u64> {
    let mut best: Option<u64> = None;
    for set in sets {
        let cost = set.cost;
        if best.is_some_and(|best| best <= cost) {
            break;
        }
        let work = |reopening: u64| RouteSetWork {
            legs: &set.legs,
            cost,
            reopening,
        };
        let mut least = extra(&mut set.runs, work(0));
        if let Some((runs, reopening)) = &mut set.with_reopening
            && *reopening < least
        {
            least = least.min(extra(runs, work(*reopening)));
        }
        let total = cost + least * COST_PER_TENTH;
        best = Some(best.map_or(total, |best| best.min(total)));
    }
    best
}
