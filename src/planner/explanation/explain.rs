//! The explanation of one operation.

use lidoff_catalog::model::PartIx;

use crate::op::Op;
use crate::problem::Problem;
use crate::request::Request;
use crate::state::PartState;

use super::order_slack::{OrderSlack, order_slack};
use super::plan_trace::PlanTrace;
use super::purpose::{Purpose, purpose};

/// Why an operation is in a plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Explanation {
    pub op: Op,
    pub purpose: Purpose,
    /// The riders that come away with the part that is taken off.
    pub riders: Vec<PartIx>,
    pub slack: OrderSlack,
}

/// Explains the operation at this index of `ops`, which is the plan for this request. `None`
/// where it is not, or where there is no such index.
pub fn explain(request: &Request, ops: &[Op], index: usize) -> Option<Explanation> {
    let op = *ops.get(index)?;
    let problem = Problem::new(*request);
    let trace = PlanTrace::new(&problem, ops)?;
    Some(Explanation {
        op,
        purpose: purpose(&trace, index),
        riders: riders(request, op),
        slack: order_slack(&trace, index),
    })
}

fn riders(request: &Request, op: Op) -> Vec<PartIx> {
    let Op::TakeOff(part, _) = op else {
        return Vec::new();
    };
    let Request {
        catalog,
        setup,
        from,
        ..
    } = request;
    let comes_away = |rider: &PartIx| {
        setup.holds(&catalog.part(*rider).when) && from.of(*rider) == PartState::Fitted
    };
    let riders = catalog.part(part).riders.iter();
    riders.copied().filter(comes_away).collect()
}
