//! From a request to a plan, or to the reason why there is none.

use std::pin::Pin;
use std::task::Context;

use crate::explain::{clash, out_of_reach, refused};
use crate::outcome::{Cost, Plan, PlannedOp, Proof, Refusal};
use crate::problem::{Action, Node, Problem};
use crate::progress::{Progress, ProgressHandler, RunToEnd, block_on};
use crate::search::{Found, Seen, search};
use crate::space::{TENTH, UnitSpace};
use crate::{PartState, Request, Tenths};

/// The most tasks that one request can hold.
pub const MOST_TASKS: usize = 64;

/// Finds the cheapest legal plan.
///
/// With no tasks left this is the cheapest way to a closed unit from the state
/// that it is in.
///
/// # Errors
/// The reason why there is no plan.
///
/// # Panics
/// Never on a checked catalog; more than [`MOST_TASKS`] tasks are refused.
pub fn plan(request: &Request) -> Result<Plan, Refusal> {
    block_on(plan_async(request, &mut RunToEnd))
}

/// The same, asking now and then how to go on. Where it is told to stop, it comes
/// with the best plan that there is, and what no plan takes less than.
///
/// # Errors
/// As above; [`Refusal::Limit`] where it is stopped before there is any plan.
pub fn plan_async<'a>(
    request: &'a Request<'a>,
    patience: &'a mut dyn ProgressHandler,
) -> Pin<Box<dyn Future<Output = Result<Plan, Refusal>> + 'a>> {
    // Boxed, so that it is compiled here, where it is made fast: an `async fn`, and
    // all that it waits for, is compiled by whoever waits for it. (Measured in the
    // browser: a tenth or two.)
    Box::pin(planned(request, patience))
}

async fn planned(
    request: &Request<'_>,
    patience: &mut dyn ProgressHandler,
) -> Result<Plan, Refusal> {
    if request.tasks.len() > MOST_TASKS {
        return Err(Refusal::TooManyTasks { most: MOST_TASKS });
    }
    for task in request.tasks {
        if let Some(refusal) = refused(request, *task) {
            return Err(refusal);
        }
    }
    let problem = Problem::new(*request);
    // At once, and not after every state there is has been looked at.
    if let Some(why) = out_of_reach(&problem) {
        return Err(why);
    }
    let most = states(&problem);
    let mut space = UnitSpace::new(&problem);
    let mut ask = |seen: &Seen, context: &mut Context<'_>| {
        let progress = Progress {
            states: seen.states,
            at_least: tenths(seen.bound),
            best: seen.best.map(tenths),
        };
        patience.ask(&progress, context)
    };
    let mut found = search(&space, most, &mut ask).await;
    if matches!(found, Found::Nothing) {
        space = space.thorough();
        found = search(&space, most, &mut ask).await;
    }
    match found {
        Found::Path {
            acts,
            cost,
            bound,
            states,
        } => {
            let proof = if bound >= cost {
                Proof::Cheapest
            } else {
                Proof::AtLeast(tenths(bound))
            };
            Ok(told(&space, &problem, &acts, proof, states))
        }
        Found::Nothing => Err(clash(request, &mut ask).await),
        Found::Limit { states } => Err(Refusal::Limit { states }),
    }
}

/// Whole tenths of a search cost.
fn tenths(cost: u64) -> Tenths {
    Tenths::try_from(cost / TENTH).unwrap_or(Tenths::MAX)
}

/// States that may be looked at: a state of a larger problem takes longer.
fn states(problem: &Problem) -> usize {
    const MEASURE: usize = 100;
    let many = problem.actions.len().max(MEASURE);
    (problem.request.limits.states.saturating_mul(MEASURE) / many).max(1)
}

/// Walks the operations once more and adds up what they cost.
fn told(space: &UnitSpace, problem: &Problem, acts: &[usize], proof: Proof, states: usize) -> Plan {
    let mut plan = Plan {
        ops: Vec::with_capacity(acts.len()),
        cost: Cost::default(),
        proof,
        states,
    };
    let mut node = problem.start();
    for act in acts {
        let mut next = Some(*act);
        while let Some(act) = next {
            node = walk(problem, &problem.actions[act], &node, &mut plan);
            next = space.forced(&node);
        }
    }
    plan
}

fn walk(problem: &Problem, action: &Action, node: &Node, plan: &mut Plan) -> Node {
    let (taken, next) = action.apply(node, problem.request.prices);
    let cost = &mut plan.cost;
    cost.work += action.work;
    cost.tool_changes += taken.tool_changes;
    cost.face_changes += taken.face_changes;
    cost.waiting += taken.waiting;
    cost.total += taken.total;
    cost.disturbed += u32::from(action.moves.is_some_and(|m| m.from == PartState::Fitted));
    plan.ops.push(PlannedOp {
        op: action.op,
        steps: action.steps.clone(),
    });
    next
}
