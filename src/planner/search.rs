//! Best-first search (A*), knowing nothing of what is searched.
//!
//! P. E. Hart, N. J. Nilsson, B. Raphael, "A Formal Basis for the Heuristic
//! Determination of Minimum Cost Paths", *IEEE Transactions on Systems Science
//! and Cybernetics* 4 (1968) 100–107 (from memory). A state is looked at again when
//! a cheaper way to it turns up, so the bound need only be admissible (never above
//! the true remaining cost), not consistent.
//!
//! Where the limit is met, the smallest bound among the states not yet looked at
//! bounds every path from below, and a second, greedier search (the bound
//! weighted) looks for some path quickly: I. Pohl, "Heuristic search viewed as
//! path finding in a graph", *Artificial Intelligence* 1 (1970) 193–204 (from
//! memory). Where that meets the limit, too, the most promising move is made,
//! and from there the next, without looking back.

use std::cmp::{Ordering, Reverse};
use std::collections::BinaryHeap;
use std::future::poll_fn;
use std::hash::Hash;
use std::task::{Context, Poll};

use rustc_hash::{FxHashMap, FxHashSet};
use smallvec::SmallVec;

use crate::progress::{Control, block_on};

/// What a search needs to know.
pub trait Space {
    /// A state.
    type State: Clone;
    /// What two states must share for one of them to make the other needless.
    type Place: Eq + Hash;
    /// What leads from one state to the next.
    type Act: Copy;

    /// What is compared first.
    fn place(&self, state: &Self::State) -> Self::Place;

    /// Whether, at one place, a state reached at this cost makes another, reached
    /// at that cost, needless: every way on from the other can be gone from it and
    /// ends no dearer.
    fn covers(&self, state: &Self::State, cost: u64, other: &Self::State, others: u64) -> bool;

    /// The state to begin with.
    fn start(&self) -> Self::State;

    /// Whether this is an end.
    fn is_end(&self, state: &Self::State) -> bool;

    /// No path from here to an end is cheaper than this; `None` when there is
    /// none at all.
    fn bound(&self, state: &Self::State) -> Option<u64>;

    /// No path from here that begins with this is cheaper: quick, for it is asked of
    /// every move.
    fn through(&self, _state: &Self::State, _act: Self::Act) -> u64 {
        0
    }

    /// A better bound than this one, slower to find: asked only where the search has
    /// come to a state.
    fn closer(&self, _state: &Self::State, known: u64) -> Option<Closer> {
        Some(Closer {
            bound: known,
            is_last: true,
        })
    }

    /// Adds what can be done here, where it leads, and what it costs. The order
    /// in which they are added breaks ties.
    fn moves(&self, state: &Self::State, into: &mut Vec<(Self::Act, Self::State, u64)>);
}

/// A bound that took longer.
pub struct Closer {
    pub bound: u64,
    /// Whether to ask once more finds none better.
    pub is_last: bool,
}

/// What came of a search.
pub enum Found<Act> {
    /// A path, with a bound below which there is none; proven cheapest where the
    /// two are equal.
    Path {
        acts: Vec<Act>,
        cost: u64,
        bound: u64,
        states: usize,
    },
    /// There is no path.
    Nothing,
    /// The limit was met before there was a path.
    Limit { states: usize },
}

/// How far a search is.
#[derive(Clone, Copy, Debug)]
pub struct Seen {
    /// States looked at.
    pub states: usize,
    /// No path is cheaper than this.
    pub bound: u64,
    /// The cheapest path that was looked for on the way, where one was found.
    pub best: Option<u64>,
}

/// Asked now and then how to go on; while it is pending, the search rests. What
/// comes of a search that is not stopped does not depend on the answers.
pub type Ask<'a> = dyn FnMut(&Seen, &mut Context<'_>) -> Poll<Control> + 'a;

/// States between two questions: a millisecond or two on a slow phone.
const BREATH: usize = 4;

/// How many times the bound counts in the hasty search.
const HASTE: u64 = 4;

/// Looks for a cheapest path, at no more than `limit` states.
pub async fn search<S: Space>(space: &S, limit: usize, ask: &mut Ask<'_>) -> Found<S::Act> {
    let mut watch = Watch {
        ask,
        seen: Seen {
            states: 0,
            bound: 0,
            best: None,
        },
        best: None,
    };
    let bound = match run(space, limit, 1, &mut watch).await {
        Run::Path { acts, cost } => {
            return Found::Path {
                acts,
                cost,
                bound: cost,
                states: watch.seen.states,
            };
        }
        Run::Nothing => return Found::Nothing,
        Run::Stopped => return watch.stopped(space),
        Run::Limit { bound } => bound,
    };
    watch.seen.bound = bound;
    let found = match run(space, limit, HASTE, &mut watch).await {
        Run::Path { acts, cost } => Some((acts, cost)),
        Run::Nothing => return Found::Nothing,
        Run::Stopped => return watch.stopped(space),
        Run::Limit { .. } => dive(space, space.start()),
    };
    let states = watch.seen.states;
    match found {
        Some((acts, cost)) => Found::Path {
            acts,
            cost,
            bound: bound.min(cost),
            states,
        },
        None => Found::Limit { states },
    }
}

/// The same, with nobody asked.
pub fn to_the_end<S: Space>(space: &S, limit: usize) -> Found<S::Act> {
    block_on(search(space, limit, &mut |_, _| Poll::Ready(Control::On)))
}

/// Who watches a search, and what there is to show.
struct Watch<'a, 'b, Act> {
    ask: &'a mut Ask<'b>,
    seen: Seen,
    best: Option<(Vec<Act>, u64)>,
}

impl<Act: Copy> Watch<'_, '_, Act> {
    /// How to go on. Only every few states somebody is asked.
    async fn ask(&mut self) -> Control {
        self.seen.states += 1;
        if !self.seen.states.is_multiple_of(BREATH) {
            return Control::On;
        }
        let Self { ask, seen, .. } = self;
        poll_fn(|context| ask(seen, context)).await
    }

    /// Looks for some path through the state that was come to so.
    fn look<S: Space<Act = Act>>(&mut self, space: &S, state: S::State, cost: u64, way: Vec<Act>) {
        let Some((rest, more)) = dive(space, state) else {
            return;
        };
        let total = cost + more;
        if self.seen.best.is_none_or(|best| total < best) {
            let acts = way.into_iter().chain(rest).collect();
            self.best = Some((acts, total));
            self.seen.best = Some(total);
        }
    }

    /// The best that there is.
    fn stopped<S: Space<Act = Act>>(mut self, space: &S) -> Found<Act> {
        if self.best.is_none() {
            self.look(space, space.start(), 0, Vec::new());
        }
        let states = self.seen.states;
        match self.best {
            Some((acts, cost)) => Found::Path {
                acts,
                cost,
                bound: self.seen.bound.min(cost),
                states,
            },
            None => Found::Limit { states },
        }
    }
}

enum Run<Act> {
    Path { acts: Vec<Act>, cost: u64 },
    Nothing,
    Limit { bound: u64 },
    Stopped,
}

struct Node<S: Space> {
    state: S::State,
    cost: u64,
    bound: u64,
    from: Option<(usize, S::Act)>,
    /// Another node at its place covers it.
    needless: bool,
    known: Known,
}

/// An entry of the queue: least promise first, then the one that has come
/// farthest, then the one that was found first.
#[derive(PartialEq, Eq)]
struct Entry {
    promise: u64,
    cost: u64,
    node: usize,
}

impl Ord for Entry {
    fn cmp(&self, other: &Self) -> Ordering {
        let key = |entry: &Self| (entry.promise, Reverse(entry.cost), entry.node);
        key(other).cmp(&key(self))
    }
}

impl PartialOrd for Entry {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

async fn run<S: Space>(
    space: &S,
    limit: usize,
    weight: u64,
    watch: &mut Watch<'_, '_, S::Act>,
) -> Run<S::Act> {
    let mut nodes: Vec<Node<S>> = Vec::new();
    let mut seen: FxHashMap<S::Place, SmallVec<[usize; 1]>> = FxHashMap::default();
    let mut queue = BinaryHeap::new();
    let start = space.start();
    let Some(bound) = space.bound(&start) else {
        return Run::Nothing;
    };
    // Where the bound is weighted, it need not be so good.
    let is_patient = weight == 1;
    let asked = if is_patient {
        Known::ByItself
    } else {
        Known::Closest
    };
    seen.entry(space.place(&start)).or_default().push(0);
    nodes.push(Node {
        state: start,
        cost: 0,
        bound,
        from: None,
        needless: false,
        known: asked,
    });
    queue.push(Entry {
        promise: weight * bound,
        cost: 0,
        node: 0,
    });
    let mut moves = Vec::new();
    let mut states = 0;
    while let Some(entry) = queue.pop() {
        if nodes[entry.node].needless {
            continue;
        }
        let state = nodes[entry.node].state.clone();
        match look_closer(space, &mut nodes[entry.node]) {
            Look::AsFar => {}
            Look::Farther(promise) => {
                queue.push(Entry { promise, ..entry });
                continue;
            }
            Look::NoWay => continue,
        }
        if space.is_end(&state) {
            return Run::Path {
                acts: path(&nodes, entry.node),
                cost: entry.cost,
            };
        }
        if states >= limit {
            return Run::Limit {
                bound: least(&nodes, &queue, &entry),
            };
        }
        states += 1;
        if is_patient {
            watch.seen.bound = watch.seen.bound.max(entry.promise);
        }
        match watch.ask().await {
            Control::On => {}
            Control::Look => watch.look(space, state.clone(), entry.cost, path(&nodes, entry.node)),
            Control::Stop => {
                watch.look(space, state, entry.cost, path(&nodes, entry.node));
                return Run::Stopped;
            }
        }
        moves.clear();
        space.moves(&state, &mut moves);
        for (act, next, price) in moves.drain(..) {
            let cost = entry.cost + price;
            let here = seen.entry(space.place(&next)).or_default();
            if here
                .iter()
                .any(|at| space.covers(&nodes[*at].state, nodes[*at].cost, &next, cost))
            {
                continue;
            }
            let before = &nodes[entry.node];
            let (bound, known) = if is_patient {
                let through = space.through(&state, act).max(before.bound);
                (through.saturating_sub(price), Known::Roughly)
            } else {
                let Some(bound) = space.bound(&next) else {
                    continue;
                };
                (bound, asked)
            };
            here.retain(|at| {
                let old = &mut nodes[*at];
                old.needless = space.covers(&next, cost, &old.state, old.cost);
                !old.needless
            });
            let node = nodes.len();
            here.push(node);
            nodes.push(Node {
                state: next,
                cost,
                bound,
                from: Some((entry.node, act)),
                needless: false,
                known,
            });
            queue.push(Entry {
                promise: cost + weight * bound,
                cost,
                node,
            });
        }
    }
    Run::Nothing
}

/// How well the bound of a node is known.
#[derive(Clone, Copy)]
enum Known {
    /// By the state before only.
    Roughly,
    ByItself,
    /// As well as can be.
    Closest,
}

/// What came of looking closer.
enum Look {
    /// It is no farther than it seemed.
    AsFar,
    /// No path through it is cheaper than this.
    Farther(u64),
    NoWay,
}

/// Asks for better bounds until one is better, or there is none.
fn look_closer<S: Space>(space: &S, node: &mut Node<S>) -> Look {
    loop {
        let closer = match node.known {
            Known::Roughly => space
                .bound(&node.state)
                .map(|bound| (bound, Known::ByItself)),
            Known::ByItself => space.closer(&node.state, node.bound).map(|closer| {
                let is_last = closer.is_last || closer.bound <= node.bound;
                (
                    closer.bound,
                    if is_last {
                        Known::Closest
                    } else {
                        Known::ByItself
                    },
                )
            }),
            Known::Closest => return Look::AsFar,
        };
        let Some((bound, known)) = closer else {
            return Look::NoWay;
        };
        node.known = known;
        if bound > node.bound {
            node.bound = bound;
            return Look::Farther(node.cost + bound);
        }
    }
}

/// Moves of a dive, at the most.
const DEEPEST: usize = 1 << 14;

/// The most promising move, then the next; nowhere twice. None where that leads
/// into a corner.
fn dive<S: Space>(space: &S, mut state: S::State) -> Option<(Vec<S::Act>, u64)> {
    let (mut acts, mut total) = (Vec::new(), 0);
    let mut seen = FxHashSet::default();
    let mut moves = Vec::new();
    while !space.is_end(&state) {
        if acts.len() >= DEEPEST {
            return None;
        }
        seen.insert(space.place(&state));
        moves.clear();
        space.moves(&state, &mut moves);
        let there = moves.drain(..).filter_map(|(act, next, price)| {
            let bound = space.bound(&next)?;
            (!seen.contains(&space.place(&next))).then_some((price + bound, act, next, price))
        });
        let (_, act, next, price) = there.min_by_key(|(promise, ..)| *promise)?;
        acts.push(act);
        total += price;
        state = next;
    }
    Some((acts, total))
}

/// The smallest cost plus bound among the states that wait.
fn least<S: Space>(nodes: &[Node<S>], queue: &BinaryHeap<Entry>, popped: &Entry) -> u64 {
    let waiting = queue.iter().chain(std::iter::once(popped));
    let live = waiting.filter(|entry| !nodes[entry.node].needless);
    live.map(|entry| entry.cost + nodes[entry.node].bound)
        .min()
        .unwrap_or(0)
}

fn path<S: Space>(nodes: &[Node<S>], end: usize) -> Vec<S::Act> {
    let mut acts = Vec::new();
    let mut at = end;
    while let Some((before, act)) = nodes[at].from {
        acts.push(act);
        at = before;
    }
    acts.reverse();
    acts
}
