//! A* over any search problem.
//!
//! P. E. Hart, N. J. Nilsson, B. Raphael, "A Formal Basis for the Heuristic Determination
//! of Minimum Cost Paths", *IEEE Transactions on Systems Science and Cybernetics* 4 (1968)
//! 100–107 (from memory). A state is expanded again when a cheaper path to it turns up, so
//! the heuristic must be *admissible* (never above the true remaining cost) but need not be
//! *consistent*.
//!
//! Three stages, each with the same limit of expanded states:
//!
//! 1. A*. If it finishes, the path is proven cheapest. If it meets the limit, the least
//!    f-score in the queue is a lower bound on every path.
//! 2. Weighted A* (the heuristic times [`WEIGHT`]) looks for some path quickly: I. Pohl,
//!    "Heuristic search viewed as path finding in a graph", *Artificial Intelligence* 1
//!    (1970) 193–204 (from memory).
//! 3. [`greedy_completion`]: the successor with the least f-score, then the next, without
//!    backtracking.
//!
//! This module knows nothing of units.

mod best_first;
mod greedy_completion;
mod reporter;
mod search_problem;
mod search_result;

use std::task::Poll;

use crate::progress::{Control, block_on};

use best_first::{RunResult, best_first};
use greedy_completion::greedy_completion;
use reporter::Reporter;

pub use reporter::{ProgressCallback, SearchProgress};
pub use search_problem::{RefinedBound, SearchProblem};
pub use search_result::SearchResult;

/// The weight of the heuristic in weighted A*.
const WEIGHT: u64 = 4;

/// Looks for a cheapest path and expands at most `limit` states in each stage.
pub async fn search<P: SearchProblem>(
    problem: &P,
    limit: usize,
    callback: &mut ProgressCallback<'_>,
) -> SearchResult<P::ActionId> {
    let mut reporter = Reporter::new(callback);
    let bound = match best_first(problem, limit, 1, &mut reporter).await {
        RunResult::Path { actions, cost } => {
            return SearchResult::Path {
                actions,
                cost,
                bound: cost,
                states: reporter.progress.states,
            };
        }
        RunResult::NoPath => return SearchResult::NoPath,
        RunResult::Stopped => return reporter.into_best_path(problem),
        RunResult::LimitReached { bound } => bound,
    };
    reporter.progress.bound = bound;
    let path = match best_first(problem, limit, WEIGHT, &mut reporter).await {
        RunResult::Path { actions, cost } => Some((actions, cost)),
        RunResult::NoPath => return SearchResult::NoPath,
        RunResult::Stopped => return reporter.into_best_path(problem),
        RunResult::LimitReached { .. } => greedy_completion(problem, problem.initial_state()),
    };
    let states = reporter.progress.states;
    match path {
        Some((actions, cost)) => SearchResult::Path {
            actions,
            cost,
            bound: bound.min(cost),
            states,
        },
        None => SearchResult::LimitReached { states },
    }
}

/// Searches without interruption.
pub fn search_to_end<P: SearchProblem>(problem: &P, limit: usize) -> SearchResult<P::ActionId> {
    block_on(search(problem, limit, &mut |_, _| {
        Poll::Ready(Control::Continue)
    }))
}
