//! What can never be reached, whatever is done.

use crate::outcome::Refusal;
use crate::problem::Problem;
use crate::request::Task;

use super::reachability::Reachability;

/// The first task that can never be done, or part that can never be closed; `None` where
/// each by itself can.
pub fn find_unreachable(problem: &Problem) -> Option<Refusal> {
    let reachability = Reachability::new(problem);
    for action in &problem.actions {
        let Some(task) = Task::done_by(action.op) else {
            continue;
        };
        let obstacles = reachability.obstacles_to(action);
        if !obstacles.chain.is_empty() {
            return Some(Refusal::Unreachable {
                task,
                chain: obstacles.chain,
                besides: obstacles.other_ends,
            });
        }
    }
    for part in 0..problem.numbering.len() {
        if !reachability.can_close(part) {
            return Some(Refusal::CannotClose(problem.numbering.part(part)));
        }
    }
    None
}
