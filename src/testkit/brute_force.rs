//! The cheapest plan by brute force: Dijkstra's algorithm over the simulator's states, with no
//! heuristic and no pruning. For small units only.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use crate::simulate::Simulation;
use lidoff_catalog::model::{FaceIx, ToolIx, WaitIx};
use lidoff_planner::{Op, PartState, Task, Tenths, UnitState};

use crate::planning_case::PlanningCase;
use crate::random_walk::{all_ops, legal_successors};

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BruteForceResult {
    /// The least time, and the fewest disturbed parts at that time.
    Cheapest { total: Tenths, disturbed: u32 },
    /// No legal order of operations does every task and closes the unit.
    NoPlan,
    /// There are more states than allowed.
    TooManyStates,
}

type Key = (
    Vec<PartState>,
    Vec<Task>,
    Option<ToolIx>,
    Option<FaceIx>,
    Vec<(WaitIx, Tenths)>,
);

/// Searches every state, up to `max_states`.
pub fn brute_force(case: &PlanningCase, max_states: usize) -> BruteForceResult {
    brute_force_plan(case, max_states).0
}

/// Searches every state, up to `max_states`, and returns the operations, too.
pub fn brute_force_plan(case: &PlanningCase, max_states: usize) -> (BruteForceResult, Vec<Op>) {
    brute_force_plan_where(case, max_states, |_, _| true)
}

/// The same, with only those operations that `allowed` permits in their state.
pub fn brute_force_plan_where(
    case: &PlanningCase,
    max_states: usize,
    allowed: impl Fn(&UnitState, Op) -> bool,
) -> (BruteForceResult, Vec<Op>) {
    let start = match Simulation::new(
        &case.catalog,
        &case.setup,
        &case.tasks,
        &case.from,
        &case.prices,
    ) {
        Ok(start) => start,
        Err(illegal) => panic!("{illegal}"),
    };
    let ops = all_ops(&case.catalog, &case.tasks);
    let mut best: BTreeMap<Key, (Tenths, u32)> = BTreeMap::new();
    let mut random_walk: Vec<(Simulation<'_>, Option<(usize, Op)>)> = vec![(start.clone(), None)];
    let mut heap = BinaryHeap::from([Reverse(((0, 0), 0_usize))]);
    best.insert(key(&start), (0, 0));
    while let Some(Reverse((cost, at))) = heap.pop() {
        let here = random_walk[at].0.clone();
        if best.get(&key(&here)).is_some_and(|known| *known < cost) {
            continue;
        }
        if here.finish().is_ok() {
            let (total, disturbed) = cost;
            let mut plan = Vec::new();
            let mut from = random_walk[at].1;
            while let Some((at, op)) = from {
                plan.push(op);
                from = random_walk[at].1;
            }
            plan.reverse();
            return (BruteForceResult::Cheapest { total, disturbed }, plan);
        }
        let state = here.current_state().state;
        for (op, next) in legal_successors(&here, &ops) {
            if !allowed(&state, op) {
                continue;
            }
            let cost = (next.cost().total, next.cost().disturbed);
            let key = key(&next);
            if best.get(&key).is_none_or(|known| cost < *known) {
                best.insert(key, cost);
                heap.push(Reverse((cost, random_walk.len())));
                random_walk.push((next, Some((at, op))));
            }
        }
        if best.len() > max_states {
            return (BruteForceResult::TooManyStates, Vec::new());
        }
    }
    (BruteForceResult::NoPlan, Vec::new())
}

fn key(simulation: &Simulation<'_>) -> Key {
    let moment = simulation.current_state();
    let state = moment.state;
    (
        state.parts,
        moment.left,
        state.tool,
        state.face,
        state.waits,
    )
}
