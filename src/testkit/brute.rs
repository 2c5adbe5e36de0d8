//! The cheapest plan by trying everything: a plain shortest-path search over
//! the simulator's states, with no bound and no cleverness. For small units
//! only.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use crate::simulate::Walker;
use lidoff_catalog::model::{FaceIx, ToolIx, WaitIx};
use lidoff_planner::{Op, PartState, Task, Tenths, UnitState};

use super::job::Job;
use super::walks::{every_op, onward};

/// What trying everything finds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Found {
    /// The least time, and the fewest parts disturbed at that time.
    Cheapest {
        /// What the clock shows at the end.
        total: Tenths,
        /// Parts that leave their place.
        disturbed: u32,
    },
    /// No legal order of operations does every task and closes the unit.
    NoWay,
    /// More states than was allowed.
    TooBig,
}

type Key = (
    Vec<PartState>,
    Vec<Task>,
    Option<ToolIx>,
    Option<FaceIx>,
    Vec<(WaitIx, Tenths)>,
);

/// Tries everything, up to so many states.
pub fn cheapest(job: &Job, most: usize) -> Found {
    cheapest_way(job, most).0
}

/// Tries everything, up to so many states, and says how it is done.
pub fn cheapest_way(job: &Job, most: usize) -> (Found, Vec<Op>) {
    cheapest_way_where(job, most, |_, _| true)
}

/// Tries everything that is allowed in the state that it is done in.
pub fn cheapest_way_where(
    job: &Job,
    most: usize,
    allowed: impl Fn(&UnitState, Op) -> bool,
) -> (Found, Vec<Op>) {
    let start = match Walker::new(&job.catalog, &job.setup, &job.tasks, &job.from, &job.prices) {
        Ok(start) => start,
        Err(illegal) => panic!("{illegal}"),
    };
    let ops = every_op(&job.catalog, &job.tasks);
    let mut best: BTreeMap<Key, (Tenths, u32)> = BTreeMap::new();
    let mut walks: Vec<(Walker<'_>, Option<(usize, Op)>)> = vec![(start.clone(), None)];
    let mut heap = BinaryHeap::from([Reverse(((0, 0), 0_usize))]);
    best.insert(key(&start), (0, 0));
    while let Some(Reverse((cost, at))) = heap.pop() {
        let here = walks[at].0.clone();
        if best.get(&key(&here)).is_some_and(|known| *known < cost) {
            continue;
        }
        if here.finish().is_ok() {
            let (total, disturbed) = cost;
            let mut way = Vec::new();
            let mut from = walks[at].1;
            while let Some((at, op)) = from {
                way.push(op);
                from = walks[at].1;
            }
            way.reverse();
            return (Found::Cheapest { total, disturbed }, way);
        }
        let state = here.moment().state;
        for (op, next) in onward(&here, &ops) {
            if !allowed(&state, op) {
                continue;
            }
            let cost = (next.cost().total, next.cost().disturbed);
            let key = key(&next);
            if best.get(&key).is_none_or(|known| cost < *known) {
                best.insert(key, cost);
                heap.push(Reverse((cost, walks.len())));
                walks.push((next, Some((at, op))));
            }
        }
        if best.len() > most {
            return (Found::TooBig, Vec::new());
        }
    }
    (Found::NoWay, Vec::new())
}

fn key(walker: &Walker<'_>) -> Key {
    let moment = walker.moment();
    let state = moment.state;
    (
        state.parts,
        moment.left,
        state.tool,
        state.face,
        state.waits,
    )
}
