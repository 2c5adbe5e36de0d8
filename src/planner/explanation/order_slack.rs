//! How far an operation can be moved in the order, and what that would cost.

use crate::cost::Tenths;
use crate::op::Op;

use super::plan_trace::PlanTrace;

/// Why an operation stands where it does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct OrderSlack {
    /// The operation that must come before it.
    pub after: Option<Op>,
    /// The operation that must come after it.
    pub before: Option<Op>,
    /// The extra time if it were done as early as it can be; `None` where it cannot be done
    /// any earlier.
    pub sooner: Option<Tenths>,
    /// The extra time if it were done as late as it can be.
    pub later: Option<Tenths>,
}

pub(super) fn order_slack(trace: &PlanTrace, index: usize) -> OrderSlack {
    let mut slack = OrderSlack::default();
    let extra_time = |moved: &PlanTrace| moved.total.saturating_sub(trace.total);
    for to in (0..index).rev() {
        match trace.with_moved(index, to) {
            Some(moved) => slack.sooner = Some(extra_time(&moved)),
            None => {
                slack.after = Some(trace.action(to).op);
                break;
            }
        }
    }
    for to in index + 1..trace.actions.len() {
        match trace.with_moved(index, to) {
            Some(moved) => slack.later = Some(extra_time(&moved)),
            None => {
                slack.before = Some(trace.action(to).op);
                break;
            }
        }
    }
    slack
}
