//! What every state is asked.

use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

use lidoff_planner::internals::Space;
use lidoff_planner::internals::{Measure, WayIn, standing_for_a_task};
use lidoff_planner::internals::{Node, Problem};
use lidoff_planner::internals::{TENTH, UnitSpace};
use lidoff_planner::{Limits, Phase, Request};
use lidoff_testkit::job::Job;

use super::graph::Graph;

/// Most states of a job.
const MOST: usize = 3_000;

/// What is seen of the truth, summed over all states, in units of search cost.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Sums {
    pub states: usize,
    /// The truth.
    pub to_go: u64,
    /// What each state's bound sees of it, by itself and by looking closer.
    pub alone: u64,
    pub closer: u64,
    /// What is seen of each move from the state before, and the truth of that.
    pub through: u64,
    pub truly: u64,
    /// Moves that are legal, and those that are tried.
    pub legal: usize,
    pub tried: usize,
    /// Pairs of states at one place, and those of which one covers the other.
    pub pairs: usize,
    pub covered: usize,
}

/// What the planner searches. With waits it promises no more than to be as good as
/// any plan that takes each part out once.
pub fn whole_job(job: &Job, sums: &mut Sums) -> TestCaseResult {
    let problem = Problem::new(job.request());
    let space = UnitSpace::new(&problem);
    let legal = |node: &Node| {
        let acts = problem.actions.iter().enumerate();
        let acts = acts.filter(|(_, action)| action.can(node));
        acts.map(|(at, _)| (at, space.moved(at, node))).collect()
    };
    let Some(graph) = Graph::new(&space, legal, MOST) else {
        return Ok(());
    };
    bounds_are_below_the_truth(&space, &graph, sums)?;
    if !problem.has_waits() {
        nothing_of_use_is_left_out(&graph, sums)?;
    }
    let prices = problem.request.prices;
    let changes = u64::from(prices.tool_change + prices.face_change) * TENTH;
    what_is_covered_is_needless(&space, &graph, changes, sums)
}

/// The ways in to each part, by both measures.
pub fn every_way_in(job: &Job, sums: &mut Sums) -> TestCaseResult {
    for (part, _) in job.catalog.parts() {
        let from = standing_for_a_task(&job.catalog, part);
        let problem = Problem::new(Request {
            catalog: &job.catalog,
            setup: &job.setup,
            tasks: &[],
            from: &from,
            prices: &job.prices,
            blocked: &[],
            limits: Limits::default(),
        });
        for measure in [Measure::Time, Measure::Steps] {
            if let Some(way) = WayIn::to(part, &problem, measure) {
                way_in(&problem, &way, measure, sums)?;
            }
        }
    }
    Ok(())
}

fn way_in(problem: &Problem, way: &WayIn, measure: Measure, sums: &mut Sums) -> TestCaseResult {
    let legal = |node: &Node| {
        let acts = problem.actions.iter().enumerate();
        let acts =
            acts.filter(|(_, action)| action.op.phase() == Phase::StripDown && action.can(node));
        acts.map(|(at, _)| (at, way.moved(at, node))).collect()
    };
    let Some(graph) = Graph::new(way, legal, MOST) else {
        return Ok(());
    };
    bounds_are_below_the_truth(way, &graph, sums)?;
    nothing_of_use_is_left_out(&graph, sums)?;
    let prices = problem.request.prices;
    let changes = match measure {
        Measure::Time => u64::from(prices.tool_change + prices.face_change),
        Measure::Steps => 0,
    };
    what_is_covered_is_needless(way, &graph, changes, sums)
}

fn bounds_are_below_the_truth<S: Space<State = Node, Act = usize>>(
    space: &S,
    graph: &Graph<S>,
    sums: &mut Sums,
) -> TestCaseResult {
    for (at, node) in graph.nodes.iter().enumerate() {
        let alone = space.bound(node);
        let Some(to_go) = graph.to_go[at] else {
            continue;
        };
        let Some(alone) = alone else {
            return Err(there_is_a_way(node));
        };
        prop_assert!(alone <= to_go, "{alone} > {to_go} by itself: {node:?}");
        let closest = closest(space, node, alone)?;
        prop_assert!(closest <= to_go, "{closest} > {to_go}, closer: {node:?}");
        sums.states += 1;
        sums.to_go += to_go;
        sums.alone += alone;
        sums.closer += closest;
        for edge in &graph.legal[at] {
            let Some(rest) = graph.to_go[edge.to] else {
                continue;
            };
            let (through, truly) = (space.through(node, edge.act), edge.cost + rest);
            prop_assert!(
                through <= truly,
                "{through} > {truly} by {}: {node:?}",
                edge.act
            );
            sums.through += through;
            sums.truly += truly;
        }
    }
    Ok(())
}

fn there_is_a_way(node: &Node) -> TestCaseError {
    TestCaseError::fail(format!("there is a way from {node:?}"))
}

/// The best that looking closer finds, asked as the search does.
fn closest<S: Space<State = Node>>(
    space: &S,
    node: &Node,
    alone: u64,
) -> Result<u64, TestCaseError> {
    let mut bound = alone;
    loop {
        let closer = space.closer(node, bound);
        let closer = closer.ok_or_else(|| there_is_a_way(node))?;
        let is_last = closer.is_last || closer.bound <= bound;
        bound = bound.max(closer.bound);
        if is_last {
            return Ok(bound);
        }
    }
}

/// From every state what is tried leads to the end as cheaply as all that is legal.
fn nothing_of_use_is_left_out<S: Space<State = Node, Act = usize>>(
    graph: &Graph<S>,
    sums: &mut Sums,
) -> TestCaseResult {
    let tried = graph.tried();
    let by_tried = graph.least(&tried);
    for (at, node) in graph.nodes.iter().enumerate() {
        prop_assert_eq!(by_tried[at], graph.to_go[at], "{:?}", node);
    }
    sums.legal += graph.legal.iter().map(Vec::len).sum::<usize>();
    sums.tried += tried.iter().map(Vec::len).sum::<usize>();
    Ok(())
}

/// A state that another covers ends no cheaper: asked where one is as much cheaper as
/// any two changes, half of that, or nothing.
fn what_is_covered_is_needless<S: Space<State = Node, Act = usize>>(
    space: &S,
    graph: &Graph<S>,
    changes: u64,
    sums: &mut Sums,
) -> TestCaseResult {
    for place in graph.places() {
        for (at, (one, one_to_go)) in place.iter().enumerate() {
            for (other, other_to_go) in place[..at].iter().chain(&place[at + 1..]) {
                for ahead in [0, changes / 2, changes] {
                    let covers = space.covers(one, 0, other, ahead);
                    sums.pairs += 1;
                    sums.covered += usize::from(covers);
                    prop_assert!(
                        !covers || *one_to_go <= ahead + other_to_go,
                        "{one:?} does not cover {other:?}, {ahead} later"
                    );
                }
            }
        }
    }
    Ok(())
}
