//! The guarantees that are checked in every state.

use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

use lidoff_planner::internals::{
    AccessMetric, AccessProblem, COST_PER_TENTH, Problem, SearchProblem, SearchState,
    UnitSearchProblem, unit_with_part_off,
};
use lidoff_planner::{Limits, Phase, Request};
use lidoff_testkit::planning_case::PlanningCase;

use super::coverage::Coverage;
use super::graph::StateGraph;

/// Cases with more states are rejected.
const MAX_STATES: usize = 3_000;

fn too_many_states() -> TestCaseError {
    TestCaseError::reject("too many states")
}

/// Checks what the planner searches. With waits the planner promises no more than to be as
/// good as any plan that takes each part out once, so pruning is not checked there.
pub fn check_case(case: &PlanningCase, coverage: &mut Coverage) -> TestCaseResult {
    let problem = Problem::new(case.request());
    let unit_search = UnitSearchProblem::new(&problem);
    let legal = |state: &SearchState| {
        let actions = problem.actions.iter().enumerate();
        let applicable = actions.filter(|(_, action)| action.is_applicable(state));
        applicable
            .map(|(index, _)| (index, unit_search.apply(index, state)))
            .collect()
    };
    let graph = StateGraph::new(&unit_search, legal, MAX_STATES).ok_or_else(too_many_states)?;
    check_admissible(&unit_search, &graph, coverage)?;
    if !problem.has_waits() {
        check_pruning(&graph, coverage)?;
    }
    let prices = problem.request.prices;
    let changes = u64::from(prices.tool_change + prices.face_change) * COST_PER_TENTH;
    check_dominance(&unit_search, &graph, changes, coverage)
}

/// Checks the ways in to each part, by both metrics.
pub fn check_every_way_in(case: &PlanningCase, coverage: &mut Coverage) -> TestCaseResult {
    let mut has_too_many_states = false;
    for (part, _) in case.catalog.parts() {
        let from = unit_with_part_off(&case.catalog, part);
        let problem = Problem::new(Request {
            catalog: &case.catalog,
            setup: &case.setup,
            tasks: &[],
            from: &from,
            prices: &case.prices,
            blocked: &[],
            limits: Limits::default(),
        });
        for metric in [AccessMetric::Time, AccessMetric::Steps] {
            let Some(access) = AccessProblem::new(part, &problem, metric) else {
                continue;
            };
            match check_way_in(&problem, &access, metric, coverage) {
                Err(TestCaseError::Reject(_)) => has_too_many_states = true,
                result => result?,
            }
        }
    }
    if has_too_many_states {
        return Err(too_many_states());
    }
    Ok(())
}

fn check_way_in(
    problem: &Problem,
    access: &AccessProblem,
    metric: AccessMetric,
    coverage: &mut Coverage,
) -> TestCaseResult {
    let legal = |state: &SearchState| {
        let actions = problem.actions.iter().enumerate();
        let applicable = actions.filter(|(_, action)| {
            action.op.phase() == Phase::StripDown && action.is_applicable(state)
        });
        applicable
            .map(|(index, _)| (index, access.apply(index, state)))
            .collect()
    };
    let graph = StateGraph::new(access, legal, MAX_STATES).ok_or_else(too_many_states)?;
    check_admissible(access, &graph, coverage)?;
    check_pruning(&graph, coverage)?;
    let prices = problem.request.prices;
    let changes = match metric {
        AccessMetric::Time => u64::from(prices.tool_change + prices.face_change),
        AccessMetric::Steps => 0,
    };
    check_dominance(access, &graph, changes, coverage)
}

/// No heuristic value is above the true remaining cost.
fn check_admissible<P: SearchProblem<State = SearchState, ActionId = usize>>(
    problem: &P,
    graph: &StateGraph<P>,
    coverage: &mut Coverage,
) -> TestCaseResult {
    for (index, state) in graph.states.iter().enumerate() {
        let heuristic = problem.heuristic(state);
        let Some(remaining) = graph.remaining[index] else {
            continue;
        };
        let heuristic = heuristic.ok_or_else(|| goal_is_reachable(state))?;
        prop_assert!(
            heuristic <= remaining,
            "heuristic {heuristic} > {remaining}: {state:?}"
        );
        let refined = refine_fully(problem, state, heuristic)?;
        prop_assert!(
            refined <= remaining,
            "refined heuristic {refined} > {remaining}: {state:?}"
        );
        coverage.states += 1;
        coverage.remaining += remaining;
        coverage.heuristic += heuristic;
        coverage.refined += refined;
        for edge in &graph.legal[index] {
            let Some(rest) = graph.remaining[edge.to] else {
                continue;
            };
            let (bound, cost) = (problem.edge_bound(state, edge.action), edge.cost + rest);
            prop_assert!(
                bound <= cost,
                "edge bound {bound} > {cost} by action {}: {state:?}",
                edge.action
            );
            coverage.edge_bounds += bound;
            coverage.edge_costs += cost;
        }
    }
    Ok(())
}

fn goal_is_reachable(state: &SearchState) -> TestCaseError {
    TestCaseError::fail(format!("a goal can be reached from {state:?}"))
}

/// The best value that refining finds, asked for as the search does.
fn refine_fully<P: SearchProblem<State = SearchState>>(
    problem: &P,
    state: &SearchState,
    heuristic: u64,
) -> Result<u64, TestCaseError> {
    let mut best = heuristic;
    loop {
        let refined = problem.refine_heuristic(state, best);
        let refined = refined.ok_or_else(|| goal_is_reachable(state))?;
        let is_final = refined.is_final || refined.bound <= best;
        best = best.max(refined.bound);
        if is_final {
            return Ok(best);
        }
    }
}

/// From every state the generated moves lead to a goal as cheaply as all legal moves.
fn check_pruning<P: SearchProblem<State = SearchState, ActionId = usize>>(
    graph: &StateGraph<P>,
    coverage: &mut Coverage,
) -> TestCaseResult {
    let generated = graph.generated();
    let by_generated = graph.least_costs(&generated);
    for (index, state) in graph.states.iter().enumerate() {
        prop_assert_eq!(by_generated[index], graph.remaining[index], "{:?}", state);
    }
    coverage.legal_moves += graph.legal.iter().map(Vec::len).sum::<usize>();
    coverage.generated_moves += generated.iter().map(Vec::len).sum::<usize>();
    Ok(())
}

/// A dominated state ends no cheaper: checked where the other one is cheaper by any two
/// changes, by half of that, or by nothing.
fn check_dominance<P: SearchProblem<State = SearchState, ActionId = usize>>(
    problem: &P,
    graph: &StateGraph<P>,
    changes: u64,
    coverage: &mut Coverage,
) -> TestCaseResult {
    for group in graph.groups_by_key() {
        for (index, (one, one_remaining)) in group.iter().enumerate() {
            for (other, other_remaining) in group[..index].iter().chain(&group[index + 1..]) {
                for lead in [0, changes / 2, changes] {
                    let dominates = problem.dominates(one, 0, other, lead);
                    coverage.pairs += 1;
                    coverage.dominated_pairs += usize::from(dominates);
                    prop_assert!(
                        !dominates || *one_remaining <= lead + other_remaining,
                        "{one:?} does not dominate {other:?}, which costs {lead} more so far"
                    );
                }
            }
        }
    }
    Ok(())
}
