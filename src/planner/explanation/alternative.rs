//! The cheapest plan without an operation.

use crate::cost::Tenths;
use crate::op::{Op, Phase};
use crate::outcome::{Plan, Proof, Refusal};
use crate::problem::Problem;
use crate::request::Request;

use super::plan_trace::PlanTrace;

/// What a plan without an operation would be.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Alternative {
    /// There is none: every plan needs the operation.
    NoWay,
    /// It takes this much longer.
    Longer {
        by: Tenths,
        /// No plan without the operation takes less. Otherwise the search met its limit and
        /// `by` belongs to the best plan that it found.
        proven: bool,
        /// The ways out that it uses instead.
        instead: Vec<Op>,
    },
    /// The limit was met before one was found.
    NotFound,
}

/// Plans without this way out of `ops`, which is the plan for this request. `None` where
/// `without` is not a way out of that plan.
pub async fn find_alternative(
    request: &Request<'_>,
    ops: &[Op],
    without: Op,
    planner: impl AsyncFnOnce(&Request) -> Result<Plan, Refusal>,
) -> Option<Alternative> {
    if without.phase() != Phase::StripDown || !ops.contains(&without) {
        return None;
    }
    let problem = Problem::new(*request);
    let present_total = PlanTrace::new(&problem, ops)?.total;
    let mut blocked = request.blocked.to_vec();
    blocked.push(without);
    let other = planner(&Request {
        blocked: &blocked,
        ..*request
    })
    .await;
    Some(match other {
        Ok(plan) => Alternative::Longer {
            by: plan.cost.total.saturating_sub(present_total),
            proven: plan.proof == Proof::Cheapest,
            instead: plan
                .ops
                .iter()
                .map(|planned| planned.op)
                .filter(|op| op.phase() == Phase::StripDown && !ops.contains(op))
                .collect(),
        },
        Err(Refusal::Limit { .. }) => Alternative::NotFound,
        Err(_) => Alternative::NoWay,
    })
}
