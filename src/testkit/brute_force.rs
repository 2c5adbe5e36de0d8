//! The cheapest plan by trying everything: a plain shortest-path search over
//! the simulator's states, with no bound and no cleverness. For small units
//! only.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use crate::simulate::Simulation;
use lidoff_catalog::model::{FaceIx, ToolIx, WaitIx};
use lidoff_planner::{Op, PartState, Task, Tenths, UnitState};

use crate::planning_case::PlanningCase;
use crate::random_walk::{all_ops, legal_successors};

/// What trying everything finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BruteForceResult {
    /// The least time, and the fewest parts disturbed at that time.
    Cheapest {
        /// What the clock shows at the end.
        total: Tenths,
        /// Parts that leave their place.
        disturbed: u32,
    },
    /// No legal order of operations does every task and closes the unit.
    NoPlan,
    /// More states than was allowed.
    TooManyStates,
}

type Key = (
    Vec<PartState>,
    Vec<Task>,
    Option<ToolIx>,
    Option<FaceIx>,
    Vec<(WaitIx, Tenths)>,
);

/// Tries everything, up to so many states.
pub fn brute_force(job: &PlanningCase, most: usize) -> BruteForceResult {
    brute_force_plan(job, most).0
}

/// Tries everything, up to so many states, and says how it is done.
pub fn brute_force_plan(job: &PlanningCase, most: usize) -> (BruteForceResult, Vec<Op>) {
    brute_force_plan_where(job, most, |_, _| true)
}

/// Tries everything that is allowed in the state that it is done in.
pub fn brute_force_plan_where(
    job: &PlanningCase,
    most: usize,
    allowed: impl Fn(&UnitState, Op) -> bool,
) -> (BruteForceResult, Vec<Op>) {
    let start = match Simulation::new(&job.catalog, &job.setup, &job.tasks, &job.from, &job.prices)
    {
        Ok(start) => start,
        Err(illegal) => panic!("{illegal}"),
    };
    let ops = all_ops(&job.catalog, &job.tasks);
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
            let mut way = Vec::new();
            let mut from = random_walk[at].1;
            while let Some((at, op)) = from {
                way.push(op);
                from = random_walk[at].1;
            }
            way.reverse();
            return (BruteForceResult::Cheapest { total, disturbed }, way);
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
        if best.len() > most {
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
