//! Reports how far a search is, and keeps the best path that could be shown.

use std::future::poll_fn;
use std::task::{Context, Poll};

use crate::progress::Control;

use super::greedy_completion::greedy_completion;
use super::search_problem::SearchProblem;
use super::search_result::SearchResult;

/// How far a search is.
#[derive(Clone, Copy, Debug)]
pub struct SearchProgress {
    /// Expanded states.
    pub states: usize,
    /// No path costs less.
    pub bound: u64,
    /// The cost of the best path that was looked for on the way.
    pub best: Option<u64>,
}

/// Decides how to go on. While it is pending, the search rests. The result of a search
/// that is not stopped does not depend on the answers.
pub type ProgressCallback<'a> = dyn FnMut(&SearchProgress, &mut Context<'_>) -> Poll<Control> + 'a;

/// The callback is polled once for this many states: a millisecond or two on a slow phone.
const POLL_EVERY: usize = 4;

pub(super) struct Reporter<'a, 'b, A> {
    callback: &'a mut ProgressCallback<'b>,
    pub progress: SearchProgress,
    best_path: Option<(Vec<A>, u64)>,
}

impl<'a, 'b, A: Copy> Reporter<'a, 'b, A> {
    pub fn new(callback: &'a mut ProgressCallback<'b>) -> Self {
        Self {
            callback,
            progress: SearchProgress {
                states: 0,
                bound: 0,
                best: None,
            },
            best_path: None,
        }
    }

    /// Counts one expanded state and polls the callback when it is due.
    pub async fn next_control(&mut self) -> Control {
        self.progress.states += 1;
        if !self.progress.states.is_multiple_of(POLL_EVERY) {
            return Control::Continue;
        }
        let Self {
            callback, progress, ..
        } = self;
        poll_fn(|context| callback(progress, context)).await
    }

    /// Completes the path to this state greedily and keeps it if it is the best so far.
    pub fn complete<P: SearchProblem<ActionId = A>>(
        &mut self,
        problem: &P,
        state: P::State,
        cost: u64,
        path: Vec<A>,
    ) {
        let Some((rest, more)) = greedy_completion(problem, state) else {
            return;
        };
        let total = cost + more;
        if self.progress.best.is_none_or(|best| total < best) {
            let actions = path.into_iter().chain(rest).collect();
            self.best_path = Some((actions, total));
            self.progress.best = Some(total);
        }
    }

    /// The result of a search that was stopped.
    pub fn into_best_path<P: SearchProblem<ActionId = A>>(
        mut self,
        problem: &P,
    ) -> SearchResult<A> {
        if self.best_path.is_none() {
            self.complete(problem, problem.initial_state(), 0, Vec::new());
        }
        let states = self.progress.states;
        match self.best_path {
            Some((actions, cost)) => SearchResult::Path {
                actions,
                cost,
                bound: self.progress.bound.min(cost),
                states,
            },
            None => SearchResult::LimitReached { states },
        }
    }
}
