//! A lower bound on what is left to do from a state. Admissible: no plan from
//! here is cheaper.
//!
//! Which routes are taken is settled exactly, in which order is not: for every
//! set of routes that could still be taken (see [`routes`]) three sums, each a
//! lower bound on its own share of the cost; the least of their totals counts.
//!
//! * **work**: parts that are open go back by their cheapest way; legs of the set
//!   (see [`super::problem::Certain`]) that are not yet walked are walked out and
//!   back; task work that is left is done;
//! * **tool changes** and, separately, **face changes**: see [`sessions`]. What must
//!   stay while something is done is back before it; that something else needs it
//!   open counts only once it is back for good. So either nothing that must stay for
//!   a while is opened once more, or the work of that is added, and of the changes
//!   only those that are left without such a demand: the less of the two counts. In
//!   the same way what asks for one of several routes, of which only one is in the
//!   set, comes while that one is open; or another is opened besides.
//!
//! All but the tool in hand and the face up depends only on who is where and what
//! is left, and is remembered by that.
//!
//! There are three of them, because most states are never come to: what a move leads
//! to is judged by the sets and counts of the state that it is made in
//! ([`Bound::through`]), a state that the search has come to by its own
//! ([`Bound::of`]), and one that is still among the best by tools and faces together
//! ([`Bound::closer`], see `sessions/together`).

mod costs;
mod legs;
mod needs;
mod routes;
mod sessions;

use std::cell::RefCell;
use std::collections::hash_map::Entry;

use rustc_hash::FxHashMap;

use crate::bits::Bits;
use crate::problem::{Action, Move, Node, Problem, leg};
use crate::search::Closer;
use crate::space::TENTH;
use crate::{PartState, Tenths};

use costs::{PartCosts, opening_again, part_costs};
use legs::{Leg, Used, choices, leg_of, stays};
use needs::AllNeeds;
use routes::Completion;
use sessions::{Left, Sessions, Work};

/// The bound of a problem's states.
pub struct Bound<'a> {
    problem: &'a Problem<'a>,
    parts: Vec<PartCosts>,
    /// The operation of each task.
    tasks: Vec<usize>,
    needs: AllNeeds,
    /// Legs that each leg asks for by name, and each task.
    direct: Vec<Direct>,
    by_task: Vec<Bits>,
    sessions: Sessions,
    known: RefCell<FxHashMap<(Bits, u64), Place>>,
}

/// What is looked at in a state.
struct Ahead<'a> {
    /// Legs that are certain to be needed, those walked already too.
    required: &'a Bits,
    /// Legs that are walked.
    walked: &'a Bits,
    /// Tasks that are left, a bit each.
    tasks: u64,
}

/// What is known of who is where and what is left.
struct Place {
    /// See [`Bound::needed`] and [`Bound::named`].
    needed: Bits,
    named: Bits,
    /// One share for each set of routes, the least first; none where there is no
    /// way.
    shares: Vec<Share>,
}

/// Legs asked for by name, on the way out and on the way back.
struct Direct {
    out: Bits,
    back: Bits,
}

/// What one set of routes costs, but for the tool in hand and the face up.
struct Share {
    /// Work, and parts disturbed, in units of search cost.
    cost: u64,
    /// The legs of the set.
    legs: Bits,
    sessions: Left,
    /// The same where something that must stay for a while is opened once more,
    /// and the work of that.
    again: Option<(Left, u64)>,
}

/// Places to remember the shares of.
const MOST_REMEMBERED: usize = 1 << 16;

impl<'a> Bound<'a> {
    #[cold]
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let count = problem.numbers.len();
        let legs: Vec<Option<Leg>> = (0..2 * count).map(|leg| leg_of(problem, leg)).collect();
        let none = || Bits::none(2 * count);
        let tasks = (0..problem.request.tasks.len()).filter_map(|task| {
            let doing = |action: &Action| action.does == 1 << task;
            problem.actions.iter().position(doing)
        });
        let tasks: Vec<usize> = tasks.collect();
        let works = tasks.iter().map(|task| {
            let action = &problem.actions[*task];
            Work {
                used: Used::of(action),
                stays: stays(&[action], 2 * count),
                choices: choices(action, &problem.shapes),
                direct: action.needs.certain(&problem.shapes).unwrap_or_else(none),
                after: action.blocked_by & !action.does,
                after_back: problem
                    .must_be_back(action.op)
                    .map(|(part, sake)| (2 * part + 1, sake))
                    .collect(),
            }
        });
        let works: Vec<Work> = works.collect();
        let direct = legs.iter().map(|leg| match leg {
            Some(leg) => Direct {
                out: leg.ways[0].direct.clone(),
                back: leg.ways[0].direct_back.clone(),
            },
            None => Direct {
                out: none(),
                back: none(),
            },
        });
        let again = (0..count)
            .map(|part| opening_again(problem, part))
            .collect();
        Self {
            problem,
            parts: (0..count).map(|part| part_costs(problem, part)).collect(),
            needs: AllNeeds::new(problem),
            direct: direct.collect(),
            by_task: works.iter().map(|work| work.direct.clone()).collect(),
            sessions: Sessions::new(&legs, works, again, problem.request.prices),
            tasks,
            known: RefCell::default(),
        }
    }

    /// Legs that are certain to be needed from here, those walked already too.
    pub fn needed(&self, node: &Node) -> Bits {
        self.if_known(node, |place| place.needed.clone())
            .unwrap_or_else(|| self.needs.of(self.problem, &node.parts).required(node))
    }

    /// Legs that something which is certain asks for by name: for its way out, for
    /// its way back, or to be done.
    pub fn named(&self, node: &Node, needed: &Bits) -> Bits {
        self.if_known(node, |place| place.named.clone())
            .unwrap_or_else(|| self.named_by(node, needed))
    }

    fn if_known<T>(&self, node: &Node, what: impl FnOnce(&Place) -> T) -> Option<T> {
        let key = (node.parts.clone(), node.tasks);
        self.known.borrow().get(&key).map(what)
    }

    fn named_by(&self, node: &Node, needed: &Bits) -> Bits {
        let walked = &node.parts;
        let mut named = Bits::none(2 * self.parts.len());
        for leg in walked.iter() {
            named.unite(&self.direct[leg].back);
        }
        let mut ways_out = needed.clone();
        ways_out.remove_all(walked);
        for leg in ways_out.iter() {
            named.unite(&self.direct[leg].out);
        }
        for (task, direct) in self.by_task.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                named.unite(direct);
            }
        }
        named
    }

    /// Whether moving the part out so is certain to be needed.
    pub fn is_certain(&self, needed: &Bits, moved: Move) -> bool {
        needed.contains(leg(moved.part, moved.to, &self.problem.shapes))
    }

    /// Whether the part, put back so, would have to come out again.
    pub fn is_certain_open(&self, named: &Bits, moved: Move) -> bool {
        named.contains(leg(moved.part, moved.from, &self.problem.shapes))
    }

    /// The bound, in units of search cost; `None` where there is no way at all.
    pub fn of(&self, node: &Node) -> Option<u64> {
        self.with_shares(node, |shares| {
            least(shares, |left, set| {
                set.again + self.sessions.least(left, node.tool, node.face)
            })
        })
    }

    /// No plan from here that begins with this takes less. For a part that is fitted
    /// and would stay so, the work of opening it comes on top.
    pub fn through(&self, node: &Node, action: &Action) -> u64 {
        let prices = self.problem.request.prices;
        let begin = |first: u16, have: u16, price: Tenths| match first {
            Node::NO => (have, 0),
            first if first == have => (have, 0),
            first => (first, u64::from(price)),
        };
        let (tool, tool_change) = begin(action.tools.first, node.tool, prices.tool_change);
        let (face, face_change) = begin(action.faces.first, node.face, prices.face_change);
        let opens = action
            .moves
            .filter(|moved| moved.from == PartState::Fitted)
            .map(|moved| moved.part);
        self.with_shares(node, |shares| {
            least(shares, |left, set| {
                let adds = opens.is_some_and(|part| wanted(set.legs, part) == PartState::Fitted);
                let more = if adds { u64::from(action.work) } else { 0 };
                let changes = self.sessions.least(left, tool, face);
                // What is opened besides may be this part.
                tool_change + face_change + more.max(set.again) + changes
            })
        })
        .unwrap_or(0)
    }

    /// A better bound than the known one, by looking at tools and faces together.
    /// It goes no farther above that than about one change.
    pub fn closer(&self, node: &Node, known: u64) -> Option<Closer> {
        if !self.sessions.sees_together() {
            return Some(Closer {
                bound: known,
                is_last: true,
            });
        }
        let prices = self.problem.request.prices;
        let a_change = u64::from(prices.tool_change.max(prices.face_change)) * TENTH;
        let mut is_last = true;
        let bound = self.with_shares(node, |shares| {
            least(shares, |left, set| {
                let spent = set.cost + set.again * TENTH;
                let limit = (known + a_change).saturating_sub(spent) / TENTH + 1;
                let closer = self.sessions.closer(left, node.tool, node.face, limit);
                is_last &= closer.is_last;
                set.again + closer.least
            })
        })?;
        Some(Closer { bound, is_last })
    }

    /// Does something with what each set of routes costs from here.
    fn with_shares<T>(&self, node: &Node, what: impl FnOnce(&mut [Share]) -> T) -> T {
        let key = (node.parts.clone(), node.tasks);
        let mut known = self.known.borrow_mut();
        if known.len() >= MOST_REMEMBERED && !known.contains_key(&key) {
            known.clear();
        }
        let place = match known.entry(key) {
            Entry::Occupied(known) => known.into_mut(),
            Entry::Vacant(empty) => {
                let place = self.place(node, &empty.key().0);
                empty.insert(place)
            }
        };
        what(&mut place.shares)
    }

    fn place(&self, node: &Node, walked: &Bits) -> Place {
        let needs = self.needs.of(self.problem, walked);
        let required = needs.required(node);
        let ahead = Ahead {
            required: &required,
            walked,
            tasks: node.tasks,
        };
        let sets = needs.routes.completions(&ahead);
        let shares = sets.iter().filter_map(|set| {
            let cost = self.cost(node, walked, set)?;
            let ahead = Ahead {
                required: &set.legs,
                ..ahead
            };
            let (sessions, again) = self.sessions.left(&ahead, &set.in_place);
            Some(Share {
                cost,
                legs: set.legs.clone(),
                sessions,
                again,
            })
        });
        let mut shares: Vec<Share> = shares.collect();
        shares.sort_by_key(|share| share.cost);
        Place {
            named: self.named_by(node, &required),
            needed: required,
            shares,
        }
    }

    fn cost(&self, node: &Node, walked: &Bits, set: &Completion) -> Option<u64> {
        let mut legs = set.legs.clone();
        legs.unite(walked);
        let (mut work, mut disturbed) = (0, 0);
        let mut last = None;
        for part in legs.iter().map(|leg| leg / 2) {
            if last.replace(part) == Some(part) {
                continue;
            }
            let costs = &self.parts[part];
            let have = node.of(part);
            work += if set.in_place.contains(2 * part + 1) {
                costs.in_place(have)?
            } else {
                costs.left(have, wanted(&set.legs, part))?
            };
            disturbed += u64::from(have == PartState::Fitted);
        }
        for (task, action) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                work += u64::from(self.problem.actions[*action].work);
            }
        }
        Some(work * TENTH + disturbed)
    }
}

/// A set of routes, before any change.
struct Set<'a> {
    legs: &'a Bits,
    /// As in [`Share`].
    cost: u64,
    /// The work of opening something once more, or besides.
    again: u64,
}

/// The least that any of these costs with what is told to come on top of its cost.
fn least(shares: &mut [Share], mut on_top: impl FnMut(&mut Left, Set) -> u64) -> Option<u64> {
    let mut best: Option<u64> = None;
    for share in shares {
        let cost = share.cost;
        if best.is_some_and(|best| best <= cost) {
            break;
        }
        let set = |again: u64| Set {
            legs: &share.legs,
            cost,
            again,
        };
        let mut taken = on_top(&mut share.sessions, set(0));
        if let Some((sessions, work)) = &mut share.again
            && *work < taken
        {
            taken = taken.min(on_top(sessions, set(*work)));
        }
        let total = cost + taken * TENTH;
        best = Some(best.map_or(total, |best| best.min(total)));
    }
    best
}

/// How far open a part must come for these legs.
fn wanted(legs: &Bits, part: usize) -> PartState {
    if legs.contains(2 * part + 1) {
        PartState::Off
    } else if legs.contains(2 * part) {
        PartState::Eased
    } else {
        PartState::Fitted
    }
}
