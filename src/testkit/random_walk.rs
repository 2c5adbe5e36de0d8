//! Random walks over the simulator.

use crate::simulate::Simulation;
use lidoff_catalog::model::Catalog;
use lidoff_planner::{Op, Task, Way};

use crate::byte_draw::ByteDraw;

/// Every operation that can be written down for this unit and these tasks, legal or not.
pub fn all_ops(catalog: &Catalog, tasks: &[Task]) -> Vec<Op> {
    let mut ops = Vec::new();
    for (part, known) in catalog.parts() {
        if known.ease.is_some() {
            ops.extend([Op::Ease(part), Op::Settle(part)]);
        }
        for way in Way::all_of(known) {
            ops.extend([Op::TakeOff(part, way), Op::PutBack(part, way)]);
        }
    }
    ops.extend(tasks.iter().map(|task| match *task {
        Task::Replace(part) => Op::Swap(part),
        Task::Reseat(part) => Op::Reseat(part),
        Task::Inspect(part) => Op::Inspect(part),
        Task::LeaveOut(part) => Op::LeaveOut(part),
        Task::Serve(service) => Op::Serve(service),
    }));
    ops
}

/// Every simulation that one more legal operation leads to.
pub fn legal_successors<'a>(simulation: &Simulation<'a>, ops: &[Op]) -> Vec<(Op, Simulation<'a>)> {
    let mut next = Vec::new();
    for op in ops {
        let mut tried = simulation.clone();
        if tried.perform(*op).is_ok() {
            next.push((*op, tried));
        }
    }
    next
}

/// Performs random legal operations until the draw is used up, and returns them. Opening is
/// likelier than closing, so that the walk gets somewhere.
pub fn walk_randomly(simulation: &mut Simulation<'_>, ops: &[Op], bytes: &[u8]) -> Vec<Op> {
    let mut done = Vec::new();
    let mut draw = ByteDraw::new(bytes);
    for _ in 0..bytes.len() / 2 {
        let next = legal_successors(simulation, ops);
        let onto: Vec<usize> = (0..next.len())
            .filter(|at| !matches!(next[*at].0, Op::PutBack(..) | Op::Settle(_)))
            .collect();
        let every: Vec<usize> = (0..next.len()).collect();
        let from = if draw.chance(25) || onto.is_empty() {
            &every
        } else {
            &onto
        };
        let Some(at) = draw.pick(from) else { break };
        let (op, walked) = next[at].clone();
        *simulation = walked;
        done.push(op);
    }
    done
}
