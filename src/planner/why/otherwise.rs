//! The cheapest plan without an operation.

use crate::problem::Problem;
use crate::{Op, Phase, Plan, Proof, Refusal, Request, Tenths};

use super::line::Line;

/// What a plan without an operation would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Otherwise {
    /// There is none: every way goes through it.
    NoWay,
    /// It takes this much longer.
    Longer {
        /// By how much.
        by: Tenths,
        /// No plan without the operation takes less. Else the search met its
        /// limit, and `by` is what the best that it found takes.
        proven: bool,
        /// The ways out that it goes instead.
        instead: Vec<Op>,
    },
    /// The limit was met before one was found.
    NotFound,
}

/// What the plan would be without this way out, easing or taking off: `ops` is
/// the plan for this request. `None` for what is not a way out of that plan.
pub async fn otherwise(
    request: &Request<'_>,
    ops: &[Op],
    without: Op,
    planner: impl AsyncFnOnce(&Request) -> Result<Plan, Refusal>,
) -> Option<Otherwise> {
    if without.phase() != Phase::StripDown || !ops.contains(&without) {
        return None;
    }
    let problem = Problem::new(*request);
    let here = Line::of(&problem, ops)?.total;
    let mut blocked = request.blocked.to_vec();
    blocked.push(without);
    let other = planner(&Request {
        blocked: &blocked,
        ..*request
    })
    .await;
    Some(match other {
        Ok(plan) => Otherwise::Longer {
            by: plan.cost.total.saturating_sub(here),
            proven: plan.proof == Proof::Cheapest,
            instead: plan
                .ops
                .iter()
                .map(|planned| planned.op)
                .filter(|op| op.phase() == Phase::StripDown && !ops.contains(op))
                .collect(),
        },
        Err(Refusal::Limit { .. }) => Otherwise::NotFound,
        Err(_) => Otherwise::NoWay,
    })
}
