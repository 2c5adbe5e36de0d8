//! From a request to a plan, or to the reason why there is none.

use std::pin::Pin;
use std::task::Context;

use crate::cost::whole_tenths;
use crate::infeasibility::{find_conflict, find_unreachable, refuse_task};
use crate::outcome::{Cost, Plan, PlannedOp, Proof, Refusal};
use crate::problem::{Action, Problem, SearchState};
use crate::progress::{Progress, ProgressHandler, RunToEnd, block_on};
use crate::request::Request;
use crate::search::{SearchProgress, SearchResult, search};
use crate::state::PartState;
use crate::unit_search::UnitSearchProblem;

/// The most tasks that one request can hold.
pub const MAX_TASKS: usize = 64;

/// Finds the cheapest legal plan.
///
/// With no tasks left this is the cheapest way to a closed unit from its present state.
///
/// # Errors
/// The reason why there is no plan.
///
/// # Panics
/// Never on a checked catalog. More than [`MAX_TASKS`] tasks are refused.
pub fn plan(request: &Request) -> Result<Plan, Refusal> {
    block_on(plan_async(request, &mut RunToEnd))
}

/// The same, polling `progress` every few states. If that stops the planner, the result is
/// the best plan found so far and a lower bound.
///
/// # Errors
/// As above; [`Refusal::Limit`] where it is stopped before there is any plan.
pub fn plan_async<'a>(
    request: &'a Request<'a>,
    progress: &'a mut dyn ProgressHandler,
) -> Pin<Box<dyn Future<Output = Result<Plan, Refusal>> + 'a>> {
    // Boxed, so that it is compiled in this crate, which is optimised for speed. An `async fn`
    // and everything that it awaits is compiled in the crate that awaits it. (Measured in the
    // browser: a tenth or two of the planning time.)
    Box::pin(find_plan(request, progress))
}

async fn find_plan(
    request: &Request<'_>,
    progress: &mut dyn ProgressHandler,
) -> Result<Plan, Refusal> {
    if request.tasks.len() > MAX_TASKS {
        return Err(Refusal::TooManyTasks { most: MAX_TASKS });
    }
    for task in request.tasks {
        if let Some(refusal) = refuse_task(request, *task) {
            return Err(refusal);
        }
    }
    let problem = Problem::new(*request);
    // Before the search: otherwise every reachable state would have to be expanded first.
    if let Some(refusal) = find_unreachable(&problem) {
        return Err(refusal);
    }
    let limit = scaled_limit(&problem);
    let mut unit_search = UnitSearchProblem::new(&problem);
    let mut callback = |so_far: &SearchProgress, context: &mut Context<'_>| {
        let so_far = Progress {
            states: so_far.states,
            at_least: whole_tenths(so_far.bound),
            best: so_far.best.map(whole_tenths),
        };
        progress.ask(&so_far, context)
    };
    let mut result = search(&unit_search, limit, &mut callback).await;
    if matches!(result, SearchResult::NoPath) {
        unit_search = unit_search.without_pruning();
        result = search(&unit_search, limit, &mut callback).await;
    }
    match result {
        SearchResult::Path {
            actions,
            cost,
            bound,
            states,
        } => {
            let proof = if bound >= cost {
                Proof::Cheapest
            } else {
                Proof::AtLeast(whole_tenths(bound))
            };
            Ok(build_plan(&unit_search, &problem, &actions, proof, states))
        }
        SearchResult::NoPath => Err(find_conflict(request, &mut callback).await),
        SearchResult::LimitReached { states } => Err(Refusal::Limit { states }),
    }
}

/// The limit of states, lowered for a large problem because each of its states takes longer.
fn scaled_limit(problem: &Problem) -> usize {
    const FULL_LIMIT_UP_TO: usize = 100;
    let actions = problem.actions.len().max(FULL_LIMIT_UP_TO);
    let limit = problem.request.limits.states;
    (limit.saturating_mul(FULL_LIMIT_UP_TO) / actions).max(1)
}

/// Repeats the actions of the path, each followed by the forced ones, and adds up the cost.
fn build_plan(
    unit_search: &UnitSearchProblem,
    problem: &Problem,
    path: &[usize],
    proof: Proof,
    states: usize,
) -> Plan {
    let mut plan = Plan {
        ops: Vec::with_capacity(path.len()),
        cost: Cost::default(),
        proof,
        states,
    };
    let mut state = problem.initial_state();
    for action in path {
        let mut next = Some(*action);
        while let Some(action) = next {
            state = append(&mut plan, problem, &problem.actions[action], &state);
            next = unit_search.forced_action(&state);
        }
    }
    plan
}

/// Appends the operation to the plan and returns the state after it.
fn append(plan: &mut Plan, problem: &Problem, action: &Action, state: &SearchState) -> SearchState {
    let (action_cost, next) = action.apply(state, problem.request.prices);
    let cost = &mut plan.cost;
    cost.work += action.work;
    cost.tool_changes += action_cost.tool_changes;
    cost.face_changes += action_cost.face_changes;
    cost.waiting += action_cost.waiting;
    cost.total += action_cost.total;
    let disturbs = action
        .part_move
        .is_some_and(|moved| moved.from == PartState::Fitted);
    cost.disturbed += u32::from(disturbs);
    if !action.is_virtual {
        plan.ops.push(PlannedOp {
            op: action.op,
            steps: action.steps.clone(),
        });
    }
    next
}
