//! A* and weighted A* with dominance pruning and lazily refined heuristic values.
//!
//! A generated state first gets the cheap *edge bound* of the move that led to it. Only
//! when it reaches the front of the queue is its own heuristic asked for, and after that
//! the refined one. Where a value rises, the state goes back into the queue.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::progress::Control;

use super::reporter::Reporter;
use super::search_problem::SearchProblem;

/// How one run of the search ended.
pub(super) enum RunResult<A> {
    Path { actions: Vec<A>, cost: u64 },
    NoPath,
    LimitReached { bound: u64 },
    Stopped,
}

/// Searches until a goal is reached or `limit` states are expanded. A weight of 1 is A*.
pub(super) async fn best_first<P: SearchProblem>(
    problem: &P,
    limit: usize,
    weight: u64,
    reporter: &mut Reporter<'_, '_, P::ActionId>,
) -> RunResult<P::ActionId> {
    let Some(mut tree) = SearchTree::new(problem, weight) else {
        return RunResult::NoPath;
    };
    let mut expanded = 0;
    while let Some(entry) = tree.pop_least() {
        let state = tree.nodes[entry.node].state.clone();
        if problem.is_goal(&state) {
            return RunResult::Path {
                actions: tree.path_to(entry.node),
                cost: entry.cost,
            };
        }
        if expanded >= limit {
            return RunResult::LimitReached {
                bound: tree.least_f_score(&entry),
            };
        }
        expanded += 1;
        if tree.is_exact() {
            reporter.progress.bound = reporter.progress.bound.max(entry.f_score);
        }
        match reporter.next_control().await {
            Control::Continue => {}
            Control::FindPlan => {
                let path = tree.path_to(entry.node);
                reporter.complete(problem, state.clone(), entry.cost, path);
            }
            Control::Stop => {
                let path = tree.path_to(entry.node);
                reporter.complete(problem, state, entry.cost, path);
                return RunResult::Stopped;
            }
        }
        tree.expand(&entry, &state);
    }
    RunResult::NoPath
}

/// A state with the cheapest path to it that is known.
struct SearchNode<P: SearchProblem> {
    state: P::State,
    cost: u64,
    heuristic: u64,
    quality: HeuristicQuality,
    parent: Option<(usize, P::ActionId)>,
    is_dominated: bool,
}

/// Where the heuristic value of a node comes from.
#[derive(Clone, Copy)]
enum HeuristicQuality {
    /// The edge bound of the move that led here.
    Edge,
    /// The state's own heuristic.
    Own,
    /// Nothing better can be asked for.
    Final,
}

/// An entry of the queue: least f-score first, then the greatest cost so far, then the
/// oldest.
#[derive(PartialEq, Eq)]
struct QueueEntry {
    f_score: u64,
    cost: u64,
    node: usize,
}

impl Ord for QueueEntry {
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |entry: &Self| (entry.f_score, Reverse(entry.cost), entry.node);
        key(other).cmp(&key(self))
    }
}

impl PartialOrd for QueueEntry {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

/// What came of asking for a better heuristic value.
enum Refinement {
    Unchanged,
    /// The f-score rose to this.
    Raised(u64),
    NoPath,
}

struct SearchTree<'p, P: SearchProblem> {
    problem: &'p P,
    weight: u64,
    nodes: Vec<SearchNode<P>>,
    /// The nodes of each key that are not dominated.
    by_key: FxHashMap<P::StateKey, SmallVec<[usize; 1]>>,
    queue: BinaryHeap<QueueEntry>,
    /// Kept to reuse its memory.
    successors: Vec<(P::ActionId, P::State, u64)>,
}

impl<'p, P: SearchProblem> SearchTree<'p, P> {
    /// `None` where no goal can be reached.
    fn new(problem: &'p P, weight: u64) -> Option<Self> {
        let mut tree = Self {
            problem,
            weight,
            nodes: Vec::new(),
            by_key: FxHashMap::default(),
            queue: BinaryHeap::new(),
            successors: Vec::new(),
        };
        let state = problem.initial_state();
        let heuristic = problem.heuristic(&state)?;
        let key = problem.state_key(&state);
        tree.by_key.entry(key).or_default().push(0);
        let node = SearchNode {
            state,
            cost: 0,
            heuristic,
            quality: tree.own_quality(),
            parent: None,
            is_dominated: false,
        };
        tree.push(node);
        Some(tree)
    }

    fn is_exact(&self) -> bool {
        self.weight == 1
    }

    /// A weighted heuristic need not be refined.
    fn own_quality(&self) -> HeuristicQuality {
        if self.is_exact() {
            HeuristicQuality::Own
        } else {
            HeuristicQuality::Final
        }
    }

    fn push(&mut self, node: SearchNode<P>) {
        self.queue.push(QueueEntry {
            f_score: node.cost + self.weight * node.heuristic,
            cost: node.cost,
            node: self.nodes.len(),
        });
        self.nodes.push(node);
    }

    /// The entry with the least f-score that no refinement raises.
    fn pop_least(&mut self) -> Option<QueueEntry> {
        loop {
            let entry = self.queue.pop()?;
            let node = &mut self.nodes[entry.node];
            if node.is_dominated {
                continue;
            }
            match refine(self.problem, node) {
                Refinement::Unchanged => return Some(entry),
                Refinement::Raised(f_score) => self.queue.push(QueueEntry { f_score, ..entry }),
                Refinement::NoPath => {}
            }
        }
    }

    fn expand(&mut self, entry: &QueueEntry, state: &P::State) {
        let mut successors = std::mem::take(&mut self.successors);
        self.problem.successors(state, &mut successors);
        for (action, next, step) in successors.drain(..) {
            self.generate(entry, state, action, next, step);
        }
        self.successors = successors;
    }

    fn generate(
        &mut self,
        entry: &QueueEntry,
        state: &P::State,
        action: P::ActionId,
        next: P::State,
        step: u64,
    ) {
        let problem = self.problem;
        let cost = entry.cost + step;
        let quality = match self.own_quality() {
            HeuristicQuality::Own => HeuristicQuality::Edge,
            other => other,
        };
        let same_key = self.by_key.entry(problem.state_key(&next)).or_default();
        let nodes = &mut self.nodes;
        let is_dominated = same_key
            .iter()
            .any(|old| problem.dominates(&nodes[*old].state, nodes[*old].cost, &next, cost));
        if is_dominated {
            return;
        }
        let heuristic = match quality {
            HeuristicQuality::Edge => {
                let parent = nodes[entry.node].heuristic;
                let through = problem.edge_bound(state, action).max(parent);
                through.saturating_sub(step)
            }
            _ => match problem.heuristic(&next) {
                Some(heuristic) => heuristic,
                None => return,
            },
        };
        same_key.retain(|old| {
            let old = &mut nodes[*old];
            old.is_dominated = problem.dominates(&next, cost, &old.state, old.cost);
            !old.is_dominated
        });
        same_key.push(nodes.len());
        self.push(SearchNode {
            state: next,
            cost,
            heuristic,
            quality,
            parent: Some((entry.node, action)),
            is_dominated: false,
        });
    }

    /// The least unweighted f-score of the queue and of the entry popped last.
    fn least_f_score(&self, popped: &QueueEntry) -> u64 {
        let waiting = self.queue.iter().chain(std::iter::once(popped));
        let live = waiting.filter(|entry| !self.nodes[entry.node].is_dominated);
        live.map(|entry| entry.cost + self.nodes[entry.node].heuristic)
            .min()
            .unwrap_or(0)
    }

    fn path_to(&self, node: usize) -> Vec<P::ActionId> {
        let mut actions = Vec::new();
        let mut current = node;
        while let Some((parent, action)) = self.nodes[current].parent {
            actions.push(action);
            current = parent;
        }
        actions.reverse();
        actions
    }
}

/// Asks for better heuristic values until one is better, or there is none.
fn refine<P: SearchProblem>(problem: &P, node: &mut SearchNode<P>) -> Refinement {
    loop {
        let better = match node.quality {
            HeuristicQuality::Edge => problem
                .heuristic(&node.state)
                .map(|heuristic| (heuristic, HeuristicQuality::Own)),
            HeuristicQuality::Own => {
                problem
                    .refine_heuristic(&node.state, node.heuristic)
                    .map(|refined| {
                        let is_final = refined.is_final || refined.bound <= node.heuristic;
                        let quality = if is_final {
                            HeuristicQuality::Final
                        } else {
                            HeuristicQuality::Own
                        };
                        (refined.bound, quality)
                    })
            }
            HeuristicQuality::Final => return Refinement::Unchanged,
        };
        let Some((heuristic, quality)) = better else {
            return Refinement::NoPath;
        };
        node.quality = quality;
        if heuristic > node.heuristic {
            node.heuristic = heuristic;
            return Refinement::Raised(node.cost + heuristic);
        }
    }
}
