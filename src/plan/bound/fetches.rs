//! How often each tool must still be fetched (or each face turned up).
//!
//! A plan uses tools in some sequence; its tool changes are, for each tool, the
//! number of times that it is taken up. Operations that must follow each other
//! are a part of that sequence, in that order, and between two uses of a tool with
//! another one in between it must be taken up again, whatever else is done
//! meanwhile. So for each tool the greatest number of times that any such chain
//! takes it up is a lower bound, and the sum over all tools is one, too: each
//! tool may find its own chain.

use std::cell::RefCell;

use crate::plan::bits::Bits;
use crate::plan::problem::Node;

use super::legs::{Leg, Order, Used, is_walked};

/// Fetches along the worst chain so far, for each tool: twice their number, and
/// one more where another tool is in hand. Greater is worse for whatever follows.
type Count = u16;

/// The bound for tools, or for faces.
pub(super) struct Fetches {
    pick: fn(&Used) -> &Order,
    kinds: usize,
    scratch: RefCell<Scratch>,
}

#[derive(Default)]
struct Scratch {
    outs: Vec<Count>,
    backs: Vec<Count>,
    tasks: Vec<Count>,
    worst: Vec<Count>,
    now: Vec<Count>,
    has_out: Vec<bool>,
}

/// A task that may be left: what it uses, and the legs that it asks for by name.
pub(super) struct Work<'a> {
    pub used: &'a Used,
    pub direct: &'a Bits,
}

impl Fetches {
    pub fn new(pick: fn(&Used) -> &Order, all: &[&Used]) -> Self {
        let most = all.iter().flat_map(|used| pick(used)).max();
        let kinds = most.map_or(0, |most| usize::from(*most) + 1);
        Self {
            pick,
            kinds,
            scratch: RefCell::default(),
        }
    }

    /// The least number of changes from here. `rank` has each leg after those
    /// that it needs; `works` are the tasks that are left.
    pub fn least(
        &self,
        node: &Node,
        required: &Bits,
        legs: &[Option<Leg>],
        rank: &[usize],
        works: &[Work],
        have: u16,
    ) -> u64 {
        let kinds = self.kinds;
        let scratch = &mut *self.scratch.borrow_mut();
        scratch.begin(legs.len(), works.len(), kinds, have);
        for &leg in rank {
            if required.contains(leg)
                && !is_walked(node, leg)
                && let Some(ways) = &legs[leg]
            {
                scratch.start(kinds, have);
                for need in ways.direct.iter().filter(|need| !is_walked(node, *need)) {
                    scratch.follow_out(need, kinds);
                }
                scratch.use_up((self.pick)(&ways.out));
                scratch.outs[leg * kinds..][..kinds].copy_from_slice(&scratch.now);
                scratch.has_out[leg] = true;
            }
        }
        for (nth, work) in works.iter().enumerate() {
            scratch.start(kinds, have);
            for need in work.direct.iter().filter(|need| !is_walked(node, *need)) {
                scratch.follow_out(need, kinds);
            }
            scratch.use_up((self.pick)(work.used));
            scratch.tasks[nth * kinds..][..kinds].copy_from_slice(&scratch.now);
        }
        for &leg in rank.iter().rev() {
            let Some(ways) = &legs[leg] else { continue };
            if !is_walked(node, leg) && !required.contains(leg) {
                continue;
            }
            scratch.start(kinds, have);
            for need in ways
                .direct_back
                .iter()
                .filter(|need| !is_walked(node, *need))
            {
                scratch.follow_out(need, kinds);
            }
            scratch.follow_out(leg, kinds);
            raise(&mut scratch.now, &scratch.backs[leg * kinds..][..kinds]);
            for (nth, _) in works
                .iter()
                .enumerate()
                .filter(|(_, work)| work.direct.contains(leg))
            {
                raise(&mut scratch.now, &scratch.tasks[nth * kinds..][..kinds]);
            }
            scratch.use_up((self.pick)(&ways.back));
            for need in ways.direct_back.iter() {
                raise(&mut scratch.backs[need * kinds..][..kinds], &scratch.now);
            }
        }
        scratch
            .worst
            .iter()
            .map(|count| u64::from(count >> 1))
            .sum()
    }
}

impl Scratch {
    fn begin(&mut self, legs: usize, works: usize, kinds: usize, have: u16) {
        let clear = |counts: &mut Vec<Count>, many: usize| {
            counts.clear();
            counts.resize(many, 0);
        };
        clear(&mut self.outs, legs * kinds);
        clear(&mut self.backs, legs * kinds);
        clear(&mut self.tasks, works * kinds);
        clear(&mut self.worst, kinds);
        clear(&mut self.now, kinds);
        self.has_out.clear();
        self.has_out.resize(legs, false);
        self.start(kinds, have);
    }

    /// A chain that begins here and now.
    fn start(&mut self, kinds: usize, have: u16) {
        for kind in 0..kinds {
            self.now[kind] = Count::from(kind != usize::from(have));
        }
    }

    /// The chain may follow this leg's way out.
    fn follow_out(&mut self, leg: usize, kinds: usize) {
        if self.has_out[leg] {
            raise(&mut self.now, &self.outs[leg * kinds..][..kinds]);
        }
    }

    fn use_up(&mut self, order: &Order) {
        for used in order {
            for (kind, count) in self.now.iter_mut().enumerate() {
                if kind != usize::from(*used) {
                    *count |= 1;
                } else if *count & 1 == 1 {
                    *count += 1;
                }
            }
        }
        raise(&mut self.worst, &self.now);
    }
}

fn raise(counts: &mut [Count], others: &[Count]) {
    for (count, other) in counts.iter_mut().zip(others) {
        *count = (*count).max(*other);
    }
}
