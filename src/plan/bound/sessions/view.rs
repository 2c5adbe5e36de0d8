//! The operations as one tool (or face) sees them.

use rustc_hash::FxHashMap;

use crate::plan::bits::Bits;

use super::super::legs::{Order, Used};
use super::Count;
use super::ops::{OpSet, Ops};

/// One tool, or one face.
pub(super) struct View {
    /// Operations that have a way which begins and ends without it, or uses
    /// nothing; and those that have one which begins and ends with it.
    pure: [Pure; 2],
    /// Operations that begin with it and end without it, or the other way round.
    mixed: Vec<Mixed>,
    /// Operations that use it.
    uses: Bits,
    /// The least number of sessions from a set in which nothing pure is ready.
    known: FxHashMap<(bool, OpSet), Count>,
    /// Sets that may still be looked at in this question.
    left_to_look: u32,
}

/// Operations, and how often each takes it up, a beginning in hand not counted.
struct Pure {
    ops: Bits,
    taken_up: Vec<Count>,
}

#[derive(Clone, Copy)]
struct Mixed {
    op: usize,
    begins: bool,
    /// As above.
    taken_up: Count,
}

/// Sets to look at for one question, at the most; then less is counted.
const MOST_LOOKS: u32 = 256;
/// Sets to remember.
const MOST_REMEMBERED: usize = 1 << 15;

impl View {
    pub fn new(ops: &Ops, kind: usize, pick: fn(&Used) -> &Order) -> Self {
        let many = ops.used.len();
        let mut view = Self {
            pure: [(); 2].map(|()| Pure {
                ops: Bits::none(many),
                taken_up: vec![0; many],
            }),
            mixed: Vec::new(),
            uses: Bits::none(many),
            known: FxHashMap::default(),
            left_to_look: 0,
        };
        for (op, ways) in ops.used.iter().enumerate() {
            for order in ways.iter().map(pick) {
                view.add(op, order, kind);
            }
        }
        view
    }

    fn add(&mut self, op: usize, order: &Order, kind: usize) {
        let is = |used: &u16| usize::from(*used) == kind;
        let (Some(first), Some(last)) = (order.first(), order.last()) else {
            for pure in &mut self.pure {
                pure.ops.insert(op);
                pure.taken_up[op] = 0;
            }
            return;
        };
        let (begins, ends) = (is(first), is(last));
        let many = order.iter().filter(|used| is(used)).count() as Count;
        if many > 0 {
            self.uses.insert(op);
        }
        let taken_up = many - Count::from(begins);
        if begins == ends {
            let pure = &mut self.pure[usize::from(begins)];
            if !pure.ops.contains(op) || pure.taken_up[op] > taken_up {
                pure.taken_up[op] = taken_up;
            }
            pure.ops.insert(op);
        } else {
            self.mixed.push(Mixed {
                op,
                begins,
                taken_up,
            });
        }
    }

    /// Whether anything that is left uses it.
    pub fn plays_in(&self, left: &OpSet) -> bool {
        self.uses.meets(left)
    }

    /// No order of what is left takes it up less often.
    pub fn least(&mut self, ops: &Ops, in_hand: bool, left: &OpSet) -> Count {
        if self.known.len() > MOST_REMEMBERED {
            self.known.clear();
        }
        self.left_to_look = MOST_LOOKS;
        let least = self.search(ops, in_hand, left.clone());
        least.unwrap_or_else(|| self.relaxed(ops, in_hand, left.clone()))
    }

    /// Does what neither takes it up nor lays it aside; how often it was taken up
    /// in between.
    fn close(&self, ops: &Ops, in_hand: bool, left: &mut OpSet) -> Count {
        let pure = &self.pure[usize::from(in_hand)];
        let mut taken_up = 0;
        loop {
            let mut open = left.clone();
            open.meet(&pure.ops);
            let mut changed = false;
            for op in open.iter() {
                if ops.is_ready(op, left) {
                    left.remove(op);
                    taken_up += pure.taken_up[op];
                    changed = true;
                }
            }
            if !changed {
                return taken_up;
            }
        }
    }

    /// Whether something pure is ready.
    fn is_ready(&self, ops: &Ops, in_hand: bool, left: &OpSet) -> bool {
        let mut open = left.clone();
        open.meet(&self.pure[usize::from(in_hand)].ops);
        open.iter().any(|op| ops.is_ready(op, left))
    }

    /// The least; none where too many sets were looked at.
    fn search(&mut self, ops: &Ops, in_hand: bool, mut left: OpSet) -> Option<Count> {
        let taken_up = self.close(ops, in_hand, &mut left);
        if !self.uses.meets(&left) {
            return Some(taken_up);
        }
        let key = (in_hand, left);
        if let Some(known) = self.known.get(&key) {
            return Some(taken_up + known);
        }
        self.left_to_look = self.left_to_look.checked_sub(1)?;
        let left = &key.1;
        let mut best: Option<Count> = None;
        let mut consider = |count: Count| best = Some(best.map_or(count, |best| best.min(count)));
        // Laying it aside is free; taking it up counts one.
        let other = !in_hand;
        let other_is_ready = self.is_ready(ops, other, left);
        if other_is_ready {
            let rest = self.search(ops, other, left.clone())?;
            consider(Count::from(other) + rest);
        }
        for at in 0..self.mixed.len() {
            let Mixed {
                op,
                begins,
                taken_up,
            } = self.mixed[at];
            // Where something pure begins so, that is done first.
            let changes = begins != in_hand;
            if changes && other_is_ready || !left.contains(op) || !ops.is_ready(op, left) {
                continue;
            }
            let mut rest = left.clone();
            rest.remove(op);
            let rest = self.search(ops, !begins, rest)?;
            consider(Count::from(changes && begins) + taken_up + rest);
        }
        // Nothing is ready where what comes first runs in a circle: no plan does.
        let best = best.unwrap_or(0);
        self.known.insert(key, best);
        Some(taken_up + best)
    }

    /// Less than the least, quickly: an operation that begins with it and ends
    /// without it is taken as if it did not lay it aside, and one the other way
    /// round as if what it took up were laid aside for nothing.
    fn relaxed(&self, ops: &Ops, mut in_hand: bool, mut left: OpSet) -> Count {
        let mut total = 0;
        let mut stuck = 0;
        while self.uses.meets(&left) && stuck < 2 {
            let before = left.clone();
            loop {
                let before = left.clone();
                total += self.close(ops, in_hand, &mut left);
                for one in self.mixed.iter().filter(|one| one.begins == in_hand) {
                    if left.contains(one.op) && ops.is_ready(one.op, &left) {
                        left.remove(one.op);
                        total += one.taken_up - Count::from(!one.begins);
                    }
                }
                if left == before {
                    break;
                }
            }
            stuck = if left == before { stuck + 1 } else { 0 };
            if self.uses.meets(&left) {
                in_hand = !in_hand;
                total += Count::from(in_hand && self.begins(ops, &left));
            }
        }
        total
    }

    /// Whether something that begins with it is ready.
    fn begins(&self, ops: &Ops, left: &OpSet) -> bool {
        let mut mixed = self.mixed.iter().filter(|one| one.begins);
        self.is_ready(ops, true, left)
            || mixed.any(|one| left.contains(one.op) && ops.is_ready(one.op, left))
    }
}
