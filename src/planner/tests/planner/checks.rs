//! Checks that several tests share.

use lidoff_planner::{Limits, Op, Plan, Proof, Refusal, plan};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::simulate::SimulatedPlan;
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

/// More would only take longer.
pub const MAX_PLANNING_STATES: usize = 30_000;

pub fn plan_within(case: &PlanningCase, states: usize) -> Result<Plan, Refusal> {
    let mut request = case.request();
    request.limits = Limits { states };
    plan(&request)
}

/// The plan. A case that meets the limit is rejected; `strict_config` limits how many are.
pub fn planned(case: &PlanningCase) -> Result<Plan, TestCaseError> {
    match plan_within(case, MAX_PLANNING_STATES) {
        Ok(plan) => Ok(plan),
        Err(Refusal::Limit { .. }) => Err(TestCaseError::reject("no plan within the limit")),
        Err(refusal) => Err(TestCaseError::fail(format!("refused: {refusal:?}"))),
    }
}

/// The plan, which must be proven to be the cheapest.
pub fn proven(case: &PlanningCase) -> Result<Plan, TestCaseError> {
    let plan = planned(case)?;
    prop_assert_eq!(plan.proof, Proof::Cheapest, "not proven within the limit");
    Ok(plan)
}

pub fn ops(plan: &Plan) -> Vec<Op> {
    plan.ops.iter().map(|planned| planned.op).collect()
}

/// Simulates the plan; the simulator must count as the planner did.
pub fn simulated(case: &PlanningCase, plan: &Plan) -> Result<SimulatedPlan, TestCaseError> {
    let simulated = case
        .simulate(&ops(plan))
        .map_err(|illegal| TestCaseError::fail(format!("{illegal}\n{plan:?}")))?;
    prop_assert_eq!(simulated.cost, plan.cost);
    for (state, planned) in simulated.states.iter().zip(&plan.ops) {
        prop_assert_eq!(&state.steps, &planned.steps);
    }
    // What is left out stays off; the simulator knows what must be back all the same.
    let is_left_out = |op: &Op| matches!(op, Op::LeaveOut(_));
    let stays_open = case.setup.is_out_of_use() || ops(plan).iter().any(is_left_out);
    let mut tally = simulated.tally.iter();
    prop_assert!(stays_open || tally.all(|line| line.is_settled()));
    if let Some(last) = simulated.states.last() {
        prop_assert!((last.state.is_closed() || stays_open) && last.left.is_empty());
    }
    Ok(simulated)
}

pub fn is_no_cheaper_than_its_bound(plan: &Plan) -> TestCaseResult {
    if let Proof::AtLeast(bound) = plan.proof {
        prop_assert!(bound <= plan.cost.total);
    }
    Ok(())
}
