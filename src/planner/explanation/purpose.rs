//! What an operation is for.

use crate::op::{Op, Phase};
use crate::request::Task;
use crate::state::PartState;
use lidoff_catalog::model::PartIx;

use super::plan_trace::PlanTrace;

/// What an operation is for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// It is task work.
    Work {
        task: Task,
        /// The part whose replacement brings this service operation along.
        brought_by: Option<PartIx>,
    },
    /// It opens the way for later operations.
    Opens {
        /// From the operation that needs this one, through those that need that, to task
        /// work or a way back.
        chain: Vec<NeededState>,
        /// All tasks that could not be done without it.
        tasks: Vec<Task>,
    },
    /// It closes what is open.
    Closes {
        /// The tasks for which this plan opened it; empty where it was open before.
        opened_for: Vec<Task>,
    },
    /// Nothing needs it; it costs nothing.
    Nothing,
}

/// An operation, and the state of a part that it needs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct NeededState {
    pub op: Op,
    pub part: PartIx,
    /// How far open the part must be.
    pub level: PartState,
}

pub(super) fn purpose(trace: &PlanTrace, index: usize) -> Purpose {
    let action = trace.action(index);
    match action.op.phase() {
        Phase::Fit => Task::done_by(action.op).map_or(Purpose::Nothing, |task| Purpose::Work {
            task,
            brought_by: brought_by(trace, task),
        }),
        Phase::Refit => Purpose::Closes {
            opened_for: opened_for(trace, index),
        },
        Phase::StripDown => what_it_opens(trace, index),
    }
}

/// The part whose replacement brings this service operation along.
fn brought_by(trace: &PlanTrace, task: Task) -> Option<PartIx> {
    let Task::Serve(service) = task else {
        return None;
    };
    let request = &trace.problem.request;
    request.tasks.iter().find_map(|other| {
        let Task::Replace(part) = *other else {
            return None;
        };
        let swap = request.catalog.part(part).swap.as_ref()?;
        swap.services.contains(&service).then_some(part)
    })
}

/// The tasks for which the part was opened as far as this operation closes it.
fn opened_for(trace: &PlanTrace, index: usize) -> Vec<Task> {
    let Some(closing) = trace.action(index).part_move else {
        return Vec::new();
    };
    let opened = (0..index).rev().find(|earlier| {
        let opening = trace.action(*earlier).part_move;
        opening.is_some_and(|opening| {
            opening.part == closing.part && opening.to == closing.from && opening.opens()
        })
    });
    match opened.map(|earlier| what_it_opens(trace, earlier)) {
        Some(Purpose::Opens { mut tasks, .. }) => {
            // A task that is done later is no reason to close now: the part is opened again
            // for it.
            let is_done =
                |task: &Task| (0..index).any(|earlier| trace.action(earlier).op == task.op());
            tasks.retain(is_done);
            tasks
        }
        _ => Vec::new(),
    }
}

fn what_it_opens(trace: &PlanTrace, index: usize) -> Purpose {
    // A way back counts as a reason only where there is no task: what is off goes back the
    // way it came, and so needs the same.
    for counts_ways_back in [false, true] {
        let enabled = EnabledOperations::new(trace, index, counts_ways_back);
        if let Some(end) = enabled.nearest_end {
            return Purpose::Opens {
                chain: enabled.chain_to(end),
                tasks: enabled.tasks(),
            };
        }
    }
    Purpose::Nothing
}

/// The operations that an operation opens the way for, directly or through others.
struct EnabledOperations<'a> {
    trace: &'a PlanTrace<'a>,
    /// For each operation that was reached the one that it was reached from.
    reached_from: Vec<Option<usize>>,
    /// The nearest task work or, where ways back count, way back.
    nearest_end: Option<usize>,
}

impl<'a> EnabledOperations<'a> {
    /// Breadth first, so that chains are as short as can be.
    fn new(trace: &'a PlanTrace, index: usize, counts_ways_back: bool) -> Self {
        let mut enabled = Self {
            trace,
            reached_from: vec![None; trace.actions.len()],
            nearest_end: None,
        };
        let mut queue = vec![index];
        let mut position = 0;
        while let Some(current) = queue.get(position).copied() {
            position += 1;
            if trace.action(current).op.phase() != Phase::StripDown {
                enabled.nearest_end = enabled.nearest_end.or(Some(current));
                continue;
            }
            for later in current + 1..trace.actions.len() {
                let phase = trace.action(later).op.phase();
                let counts = counts_ways_back || phase != Phase::Refit;
                if counts
                    && enabled.reached_from[later].is_none()
                    && opens_way_for(trace, current, later)
                {
                    enabled.reached_from[later] = Some(current);
                    queue.push(later);
                }
            }
        }
        enabled
    }

    fn chain_to(&self, end: usize) -> Vec<NeededState> {
        let mut chain = Vec::new();
        let mut current = end;
        while let Some(before) = self.reached_from[current] {
            if let Some(moved) = self.trace.action(before).part_move {
                chain.push(NeededState {
                    op: self.trace.action(current).op,
                    part: self.trace.problem.numbering.part(moved.part),
                    level: moved.to,
                });
            }
            current = before;
        }
        chain.reverse();
        chain
    }

    fn tasks(&self) -> Vec<Task> {
        let reached = self.reached_from.iter().enumerate();
        let reached = reached.filter(|(_, from)| from.is_some());
        reached
            .filter_map(|(index, _)| Task::done_by(self.trace.action(index).op))
            .collect()
    }
}

/// Whether the later operation would not be applicable were the part that the earlier one
/// moves still as it was.
fn opens_way_for(trace: &PlanTrace, earlier: usize, later: usize) -> bool {
    let Some(moved) = trace.action(earlier).part_move else {
        return false;
    };
    let later_action = trace.action(later);
    if let Some(next) = later_action.part_move
        && next.part == moved.part
    {
        return next.from == moved.to && next.opens();
    }
    let mut state = trace.states[later].clone();
    if state.part_state(moved.part) < moved.to {
        return false;
    }
    state.set_part(moved.part, moved.from);
    !later_action.compiled.holds_in(&state)
}
