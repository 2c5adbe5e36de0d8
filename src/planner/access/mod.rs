//! The way in to one part of a closed unit, with nothing put back: the fastest one, and
//! the one with the fewest steps.
//!
//! *Disassembly depth* in the sense of EN 45554:2020 (from memory): the number of steps to
//! remove a part, where a step ends with the removal of a part, with a change of tool, or
//! with both at once. Here a part that is only eased counts as removed, the first tool of
//! an operation that follows a removal ends no step of its own, and a bare-handed step
//! changes no tool.
//!
//! Both are found by A* over ways out alone, with the planner's limit of states.

mod access_problem;

use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Setup;

use crate::cost::Tenths;
use crate::op::Op;
use crate::problem::Problem;
use crate::request::{Limits, Prices, Request};
use crate::search::{SearchResult, search_to_end};

pub use access_problem::{AccessMetric, AccessProblem, unit_with_part_off};

/// Ways in to a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Access {
    /// The fastest way; the part's own removal comes last.
    pub ops: Vec<Op>,
    /// The time of the fastest way, with tool changes and turns.
    pub time: Tenths,
    /// The number of steps of the way with the fewest.
    pub depth: u32,
    /// No way is faster and none has fewer steps. Otherwise the search met its limit.
    pub proven: bool,
}

/// Finds the ways in to this part: until it is off by its own leg or, where it only eases,
/// eased. `None` where there is none, or none was found within the limit.
pub fn access(
    catalog: &Catalog,
    setup: &Setup,
    prices: &Prices,
    part: PartIx,
    limits: Limits,
) -> Option<Access> {
    let from = unit_with_part_off(catalog, part);
    let problem = Problem::new(Request {
        catalog,
        setup,
        tasks: &[],
        from: &from,
        prices,
        blocked: &[],
        limits,
    });
    let cheapest_by = |metric| {
        let access_problem = AccessProblem::new(part, &problem, metric)?;
        path(search_to_end(&access_problem, limits.states))
    };
    let (actions, time, is_fastest) = cheapest_by(AccessMetric::Time)?;
    let (_, depth, is_shortest) = cheapest_by(AccessMetric::Steps)?;
    let ops = actions.iter().map(|action| problem.actions[*action].op);
    Some(Access {
        ops: ops.collect(),
        time: Tenths::try_from(time).unwrap_or(Tenths::MAX),
        depth: u32::try_from(depth).unwrap_or(u32::MAX),
        proven: is_fastest && is_shortest,
    })
}

fn path(result: SearchResult<usize>) -> Option<(Vec<usize>, u64, bool)> {
    match result {
        SearchResult::Path {
            actions,
            cost,
            bound,
            ..
        } => Some((actions, cost, bound >= cost)),
        SearchResult::NoPath | SearchResult::LimitReached { .. } => None,
    }
}
