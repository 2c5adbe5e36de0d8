//! Why there is no plan: the requirements that cannot be met, or not together.

mod clash;
mod reach;

use crate::outcome::Refusal;
use crate::problem::Problem;
use crate::{Op, Request, Task};
use lidoff_catalog::model::PartIx;

pub(super) use clash::clash;
use reach::Reach;

/// The reason why this task cannot even be asked for, if there is one.
pub(super) fn refused(request: &Request, task: Task) -> Option<Refusal> {
    let catalog = request.catalog;
    let there = |part: PartIx| request.setup.holds(&catalog.part(part).when);
    let (there, offered) = match task {
        Task::Replace(part) => (there(part), catalog.part(part).swap.is_some()),
        Task::Reseat(part) => (there(part), catalog.part(part).reseat.is_some()),
        Task::Inspect(part) => (there(part), catalog.part(part).inspect.is_some()),
        Task::Serve(service) => (request.setup.holds(&catalog.service(service).when), true),
    };
    if !there {
        Some(Refusal::NotFitted(task))
    } else if !offered {
        Some(Refusal::NotOffered(task))
    } else {
        None
    }
}

/// What of a problem is out of reach for good; `None` where each part of it can
/// be done.
pub(super) fn out_of_reach(problem: &Problem) -> Option<Refusal> {
    let reach = Reach::new(problem);
    for action in &problem.actions {
        let Some(task) = task_of(action.op) else {
            continue;
        };
        let (chain, besides) = reach.why_not(action);
        if !chain.is_empty() {
            return Some(Refusal::Unreachable {
                task,
                chain,
                besides,
            });
        }
    }
    for part in 0..problem.numbers.len() {
        if !reach.comes_back(part) {
            return Some(Refusal::CannotClose(problem.numbers.part(part)));
        }
    }
    None
}

/// The task that an operation does.
pub(super) fn task_of(op: Op) -> Option<Task> {
    match op {
        Op::Swap(part) => Some(Task::Replace(part)),
        Op::Reseat(part) => Some(Task::Reseat(part)),
        Op::Inspect(part) => Some(Task::Inspect(part)),
        Op::Serve(service) => Some(Task::Serve(service)),
        _ => None,
    }
}
