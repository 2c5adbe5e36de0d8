//! The operations as some tools and all faces see them at once.
//!
//! Each tool and each face by itself may find the order that suits it best. Where
//! a tool is used on several faces, these orders often exclude each other: what
//! spares a session of the tool turns the unit over once more. So the tools that
//! are used on more than one face, and the faces, are looked at together: the
//! least that their changes take in one and the same order, every other tool being
//! just "another". That is no less than what they take one by one, and the tools
//! that are left out are added as before.
//!
//! It is found by depth-first branch and bound over what is left, what is in hand
//! and what is up (A. H. Land, A. G. Doig, "An Automatic Method of Solving Discrete
//! Programming Problems", *Econometrica* 28 (1960) 497–520, from memory); what was
//! found of a state is kept. What asks for no change and leaves none is done at
//! once, as in one view. The bound is what each tool and face takes by itself: for
//! those that an operation neither uses nor lays aside it stays as it was, because
//! in their view the operation is free.
//!
//! Only what is below a limit is wanted exactly, and one question may look at so
//! many states: both keep it short.

mod way;

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::bits::Bits;

use super::super::legs::{Order, Used};
use super::ops::{MOST_OPS, OpSet, Ops};
use super::view::View;
use super::{Count, Left, UNKNOWN};

use way::{Change, Have, OTHER, Way, free_ways, is_within, turns};

/// Some tools, and every face.
pub struct Together {
    /// The tools, then the faces.
    kinds: Vec<Kind>,
    tools: usize,
    /// The ways of each operation.
    ways: Vec<SmallVec<[Way; 2]>>,
    /// What can be free with this in hand and up, as far as it was asked.
    free: FxHashMap<Have, Bits>,
    known: FxHashMap<(Have, OpSet), Known>,
    /// States that may still be looked at in this question.
    left_to_look: u32,
    /// Questions that may still go without an answer.
    patience: u32,
}

/// One tool or face.
struct Kind {
    /// Which of all views is its.
    view: usize,
    /// The tool, or the face.
    number: u16,
    /// What a change to it takes.
    price: u64,
}

/// How often each kind must still be taken up, by itself.
type Counts = SmallVec<[Count; 10]>;

/// What is known of a state.
#[derive(Clone, Copy)]
struct Known {
    /// No order takes less.
    least: u64,
    /// One takes as much.
    is_exact: bool,
}

/// A state, as another leads to it.
struct Next {
    have: Have,
    left: OpSet,
    counts: Counts,
    /// What it takes to come to it.
    price: u64,
    /// The least in all, by what is known, and whether it is exact.
    promise: u64,
    is_exact: bool,
}

/// What is looked at.
pub struct Look<'a> {
    pub ops: &'a Ops,
    pub views: &'a mut [View],
}

/// States to look at for one question.
const MOST_LOOKS: u32 = 1024;
/// Questions without an answer after which no more is asked.
const MOST_IN_VAIN: u32 = 64;
/// States to remember.
const MOST_REMEMBERED: usize = 1 << 15;

impl Together {
    /// The first views, so many, are those of tools. None where no tool is used on
    /// more than one face, or where there is so much that looking takes longer than
    /// it saves.
    #[cold]
    pub fn new(ops: &Ops, tools: usize, prices: [u64; 2]) -> Option<Self> {
        let (seen, faces) = (on_several_faces(ops), faces(ops));
        let many = seen.iter().chain(faces.iter()).count();
        if seen.is_empty() || many > u64::BITS as usize || ops.used.len() > MOST_OPS {
            return None;
        }
        let kind = |side: usize, number: usize| Kind {
            view: number + [0, tools][side],
            number: number as u16,
            price: prices[side],
        };
        let kinds = seen.iter().map(|tool| kind(0, tool));
        let kinds = kinds.chain(faces.iter().map(|face| kind(1, face)));
        let mut together = Self {
            kinds: kinds.collect(),
            tools: seen.iter().count(),
            ways: Vec::new(),
            free: FxHashMap::default(),
            known: FxHashMap::default(),
            left_to_look: 0,
            patience: MOST_IN_VAIN,
        };
        let ways = |ways: &Vec<Used>| ways.iter().map(|used| together.way(used)).collect();
        together.ways = ops.used.iter().map(ways).collect();
        Some(together)
    }

    fn way(&self, used: &Used) -> Way {
        let seen = |side: usize, order: &Order| {
            let seen = order.iter().map(|number| self.have(*number, *number)[side]);
            seen.collect()
        };
        let orders = [seen(0, &used.tools), seen(1, &used.faces)];
        Way::new(orders, |kind| self.price(kind))
    }

    /// What is in hand and up, as it is seen here.
    pub fn have(&self, tool: u16, face: u16) -> Have {
        let (tools, faces) = self.kinds.split_at(self.tools);
        let place = |kinds: &[Kind], number, first: usize| {
            let place = kinds.iter().position(|kind| kind.number == number);
            place.map_or(OTHER, |at| (first + at) as u8)
        };
        [place(tools, tool, 0), place(faces, face, self.tools)]
    }

    /// Whether this view is of one of the kinds.
    pub fn sees(&self, view: usize) -> bool {
        self.kinds.iter().any(|kind| kind.view == view)
    }

    fn price(&self, kind: u8) -> u64 {
        let kind = self.kinds.get(usize::from(kind));
        kind.map_or(0, |kind| kind.price)
    }

    /// No order of what is left takes less for changes to these tools and to
    /// faces; where that is below the limit, one takes as much. None where too many
    /// states would have to be looked at. The views have counted what is left.
    pub fn least(&mut self, look: &mut Look, have: Have, left: &Left, limit: u64) -> Option<u64> {
        if self.patience == 0 {
            return None;
        }
        if self.known.len() > MOST_REMEMBERED {
            self.known.clear();
        }
        let counts = self.kinds.iter().enumerate().map(|(at, kind)| {
            let in_hand = have.contains(&(at as u8));
            left.counts[kind.view][usize::from(in_hand)]
        });
        let counts = counts.collect();
        let mut left = left.ops.clone();
        let (price, taken_up) = self.close(look.ops, have, &mut left);
        let mut start = Next {
            have,
            left,
            counts,
            price,
            promise: 0,
            is_exact: false,
        };
        self.promise(look, &mut start, taken_up, limit);
        if start.is_exact || start.promise >= limit {
            return Some(start.promise);
        }
        self.left_to_look = MOST_LOOKS;
        let least = self.search(look, start, limit - price);
        self.patience -= u32::from(least.is_none());
        Some(price + least?)
    }

    /// Does what asks for no change and leaves none; what is taken inside, and for
    /// what.
    fn close(&mut self, ops: &Ops, have: Have, left: &mut OpSet) -> (u64, u64) {
        let ways = &self.ways;
        let free = self.free.entry(have).or_insert_with(|| {
            let mut free = Bits::none(ways.len());
            let all = ways.iter().enumerate();
            all.filter(|(_, ways)| free_ways(ways, have).next().is_some())
                .for_each(|(op, _)| free.insert(op));
            free
        });
        let (mut price, mut taken_up) = (0, 0);
        loop {
            let mut open = left.ops.clone();
            open.meet(free);
            let mut changed = false;
            for op in open.iter() {
                let mut ways_there =
                    free_ways(&ways[op], have).filter(|at| ops.is_way_ready(op, *at, left));
                if let Some(way) = ways_there.next()
                    && ops.is_ready(op, left)
                {
                    let way = &ways[op][way];
                    left.ops.remove(op);
                    price += way.inside;
                    taken_up |= way.takes_up;
                    changed = true;
                }
            }
            if !changed {
                return (price, taken_up);
            }
        }
    }

    /// Puts in the least that is known of the state. The counts of what was touched
    /// are taken anew.
    fn promise(&self, look: &mut Look, next: &mut Next, touched: u64, limit: u64) {
        let known = if next.left.ops.is_empty() {
            Some(Known {
                least: 0,
                is_exact: true,
            })
        } else {
            self.known.get(&(next.have, next.left.clone())).copied()
        };
        if let Some(known) = known
            && (known.is_exact || next.price + known.least >= limit)
        {
            next.promise = next.price + known.least;
            next.is_exact = known.is_exact;
            return;
        }
        for at in (0..self.kinds.len()).filter(|at| touched >> at & 1 == 1) {
            let in_hand = next.have.contains(&(at as u8));
            next.counts[at] = self.count(look, at, in_hand, &next.left);
        }
        let known = known.map_or(0, |known| known.least);
        next.promise = next.price + self.one_by_one(&next.counts).max(known);
    }

    fn count(&self, look: &mut Look, kind: usize, in_hand: bool, left: &OpSet) -> Count {
        let view = &mut look.views[self.kinds[kind].view];
        if view.plays_in(left) {
            view.least(look.ops, in_hand, left)
        } else {
            0
        }
    }

    fn one_by_one(&self, counts: &Counts) -> u64 {
        let counts = self.kinds.iter().zip(counts);
        counts
            .map(|(kind, count)| kind.price * u64::from(*count))
            .sum()
    }

    /// No order takes less from there; where that is below the limit, one takes as
    /// much. None where too many states were looked at.
    fn search(&mut self, look: &mut Look, state: Next, limit: u64) -> Option<u64> {
        self.left_to_look = self.left_to_look.checked_sub(1)?;
        let (mut all, mut beyond) = self.ways_on(look, &state, limit);
        let mut best: Option<u64> = None;
        // There are few: to sort them would be more code than use.
        while let Some((at, _)) = all.iter().enumerate().min_by_key(|(_, next)| next.promise) {
            let next = all.remove(at);
            let limit = best.map_or(limit, |best| best.min(limit));
            let (price, promise) = (next.price, next.promise);
            let total = if next.is_exact || promise >= limit {
                promise
            } else {
                price + self.search(look, next, limit - price)?
            };
            let found = if total < limit {
                &mut best
            } else {
                &mut beyond
            };
            *found = Some(found.map_or(total, |found| found.min(total)));
        }
        // Nothing is ready where what comes first runs in a circle: no plan does.
        let known = Known {
            least: best.or(beyond).unwrap_or(0),
            is_exact: best.is_some() || beyond.is_none(),
        };
        self.known.insert((state.have, state.left), known);
        Some(known.least)
    }

    /// Where it can be gone from there below the limit, and the least that the other
    /// ways promise. Where something pure begins with a change, nothing else is
    /// tried that begins so: that is done first.
    fn ways_on(
        &mut self,
        look: &mut Look,
        state: &Next,
        limit: u64,
    ) -> (SmallVec<[Next; 6]>, Option<u64>) {
        let ops = look.ops;
        let ready = state.left.ops.iter();
        let ready: SmallVec<[usize; 16]> =
            ready.filter(|op| ops.is_ready(*op, &state.left)).collect();
        let mut firsts: SmallVec<[Change; 8]> = SmallVec::new();
        let (mut found, mut beyond) = (SmallVec::new(), None);
        let mut turned = Turned {
            counts: Counts::from_elem(UNKNOWN, self.kinds.len()),
            least: self.one_by_one(&state.counts),
        };
        for pure in [true, false] {
            for op in &ready {
                for at in 0..self.ways[*op].len() {
                    let way = self.ways[*op][at];
                    let change = way.begins(state.have);
                    let is_pure = self.ways[*op].len() == 1 && way.is_pure();
                    if is_pure != pure
                        || firsts.iter().any(|first| is_within(*first, change))
                        || !ops.is_way_ready(*op, at, &state.left)
                    {
                        continue;
                    }
                    if pure {
                        firsts.push(change);
                    }
                    let promise = self.with_change(look, state, change, &mut turned);
                    if promise >= limit && way.is_pure() {
                        beyond = Some(beyond.map_or(promise, |beyond: u64| beyond.min(promise)));
                    } else {
                        found.push(self.next(look, state, *op, way, &turned, limit));
                    }
                }
            }
        }
        (found, beyond)
    }

    /// What is taken at the least, by each kind for itself, where this change is
    /// made here.
    fn with_change(
        &self,
        look: &mut Look,
        state: &Next,
        change: Change,
        turned: &mut Turned,
    ) -> u64 {
        let mut promise = turned.least;
        for (kind, in_hand) in turns(state.have, change) {
            let at = usize::from(kind);
            if turned.counts[at] == UNKNOWN {
                turned.counts[at] = self.count(look, at, in_hand, &state.left);
            }
            let price = self.kinds[at].price;
            promise += price * (u64::from(in_hand) + u64::from(turned.counts[at]));
            promise -= price * u64::from(state.counts[at]);
        }
        promise
    }

    fn next(
        &mut self,
        look: &mut Look,
        state: &Next,
        op: usize,
        way: Way,
        turned: &Turned,
        limit: u64,
    ) -> Next {
        let have = way.leaves(state.have);
        let change = way.begins(state.have);
        let mut left = state.left.clone();
        left.ops.remove(op);
        let (inside, taken_up) = self.close(look.ops, have, &mut left);
        let changes: u64 = change.iter().flatten().map(|kind| self.price(*kind)).sum();
        let mut counts = state.counts.clone();
        for (kind, _) in turns(state.have, change) {
            counts[usize::from(kind)] = turned.counts[usize::from(kind)];
        }
        let in_hand = |have: Have| {
            let kinds = have.into_iter().filter(|kind| *kind != OTHER);
            kinds.fold(0, |set, kind| set | 1 << kind)
        };
        // What is pure leaves what it began with as it was counted.
        let touched = taken_up
            | if way.is_pure() {
                way.takes_up
            } else {
                way.uses | in_hand(have) | in_hand(state.have)
            };
        let mut next = Next {
            have,
            left,
            counts,
            price: changes + way.inside + inside,
            promise: 0,
            is_exact: false,
        };
        self.promise(look, &mut next, touched, limit);
        next
    }
}

/// How often each kind must be taken up from a state where it is changed to, or
/// laid aside, there; as far as it was asked.
struct Turned {
    counts: Counts,
    /// What is taken at the least without any change.
    least: u64,
}

fn used(ops: &Ops) -> impl Iterator<Item = &Used> {
    ops.used.iter().flatten()
}

/// Tools that are used on more than one face.
fn on_several_faces(ops: &Ops) -> Bits {
    let mut first: FxHashMap<u16, u16> = FxHashMap::default();
    let mut several = Bits::none(ops.kinds(|used| &used.tools));
    for used in used(ops) {
        for tool in &used.tools {
            for face in &used.faces {
                if first.entry(*tool).or_insert(*face) != face {
                    several.insert(usize::from(*tool));
                }
            }
        }
    }
    several
}

fn faces(ops: &Ops) -> Bits {
    let mut faces = Bits::none(ops.kinds(|used| &used.faces));
    let all = used(ops).flat_map(|used| &used.faces);
    all.for_each(|face| faces.insert(usize::from(*face)));
    faces
}
