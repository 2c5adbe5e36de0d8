//! The operations as one tool (or face) sees them.

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::bits::Bits;

use super::super::legs::{Order, Used};
use super::Count;
use super::ops::{MOST_OPS, OpSet, Ops};

/// One tool, or one face.
pub struct View {
    /// Operations that begin and end without it, or use nothing; and those that
    /// begin and end with it.
    pure: [Pure; 2],
    /// Operations that begin with it and end without it, or the other way round.
    mixed: Vec<Mixed>,
    /// Operations that use it.
    uses: Bits,
    /// What can matter to it, where it is not in hand, and where it is.
    matters: [OpSet; 2],
    /// The least number of sessions from a set of what matters, and from one in
    /// which nothing pure is ready.
    asked: FxHashMap<(bool, OpSet), Count>,
    known: FxHashMap<(bool, OpSet), Count>,
    /// Sets that may still be looked at in this question.
    left_to_look: u32,
}

/// Operations, and how often each takes it up, a beginning in hand not counted.
struct Pure {
    ops: Bits,
    taken_up: Vec<Count>,
}

impl Pure {
    fn add(&mut self, op: usize, taken_up: Count) {
        self.ops.insert(op);
        self.taken_up[op] = taken_up;
    }
}

/// What one way of an operation looks like.
struct Look {
    /// Whether the first that it uses is the one in view, and the last; nothing
    /// where it uses none.
    begins: Option<bool>,
    ends: Option<bool>,
    uses: bool,
    /// As above.
    taken_up: Count,
}

impl Look {
    fn of(order: &Order, kind: usize) -> Self {
        let is = |used: &u16| usize::from(*used) == kind;
        let many = order.iter().filter(|used| is(used)).count() as Count;
        let begins = order.first().map(is);
        Self {
            begins,
            ends: order.last().map(is),
            uses: many > 0,
            taken_up: many - Count::from(begins == Some(true)),
        }
    }
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
    #[cold]
    pub fn new(ops: &Ops, kind: usize, pick: fn(&Used) -> &Order) -> Self {
        let many = ops.used.len();
        let mut view = Self {
            pure: [(); 2].map(|()| Pure {
                ops: Bits::none(many),
                taken_up: vec![0; many],
            }),
            mixed: Vec::new(),
            uses: Bits::none(many),
            matters: [(); 2].map(|()| ops.none()),
            asked: FxHashMap::default(),
            known: FxHashMap::default(),
            left_to_look: 0,
        };
        for (op, ways) in ops.used.iter().enumerate() {
            let mut looks: SmallVec<[Look; 2]> = SmallVec::new();
            looks.extend(ways.iter().map(|used| Look::of(pick(used), kind)));
            view.add(op, &looks);
        }
        if many <= MOST_OPS {
            view.matters = [false, true].map(|in_hand| ops.between(&view.uses, in_hand));
        }
        view
    }

    fn add(&mut self, op: usize, looks: &[Look]) {
        if looks.iter().any(|look| look.uses) {
            self.uses.insert(op);
        }
        let Some(first) = looks.first() else { return };
        let alike = looks
            .iter()
            .all(|look| (look.begins, look.ends) == (first.begins, first.ends));
        let taken_up = looks.iter().map(|look| look.taken_up).min().unwrap_or(0);
        match (first.begins, first.ends) {
            (Some(begins), Some(ends)) if alike && begins == ends => {
                self.pure[usize::from(begins)].add(op, taken_up);
            }
            (Some(begins), Some(_)) if alike => self.mixed.push(Mixed {
                op,
                begins,
                taken_up,
            }),
            // Of several ways none is chosen: what a way that ends with it in hand
            // took up for that counts as gained.
            _ => {
                let least = |look: &Look| {
                    let gained = look.begins == Some(false) && look.ends == Some(true);
                    look.taken_up - Count::from(gained)
                };
                let least = looks.iter().map(least).min().unwrap_or(0);
                self.pure.iter_mut().for_each(|pure| pure.add(op, least));
            }
        }
    }

    /// Whether anything that is left uses it.
    pub fn plays_in(&self, left: &OpSet) -> bool {
        self.uses.meets(&left.ops)
    }

    /// No order of what is left takes it up less often.
    pub fn least(&mut self, ops: &Ops, in_hand: bool, left: &OpSet) -> Count {
        if let (false, Some(taken_up)) = (in_hand, self.only_one(left)) {
            return 1 + taken_up;
        }
        if ops.used.len() > MOST_OPS {
            return self.relaxed(ops, in_hand, left.clone());
        }
        let key = (in_hand, left.of_these(&self.matters[usize::from(in_hand)]));
        if let Some(known) = self.asked.get(&key) {
            return *known;
        }
        for memory in [&mut self.asked, &mut self.known] {
            if memory.len() > MOST_REMEMBERED {
                memory.clear();
            }
        }
        self.left_to_look = MOST_LOOKS;
        let least = self.search(ops, in_hand, key.1.clone());
        let least = least.unwrap_or_else(|| self.relaxed(ops, in_hand, key.1.clone()));
        self.asked.insert(key, least);
        least
    }

    /// Where one operation is left that uses it, and begins and ends with it: how
    /// often that takes it up in between.
    fn only_one(&self, left: &OpSet) -> Option<Count> {
        let mut uses = self.uses.clone();
        uses.meet(&left.ops);
        let mut uses = uses.iter();
        let (only, none) = (uses.next()?, uses.next());
        let [other, pure] = &self.pure;
        let plain = none.is_none() && pure.ops.contains(only) && !other.ops.contains(only);
        plain.then(|| pure.taken_up[only])
    }

    /// Does what neither takes it up nor lays it aside; how often it was taken up
    /// in between.
    fn close(&self, ops: &Ops, in_hand: bool, left: &mut OpSet) -> Count {
        let pure = &self.pure[usize::from(in_hand)];
        let mut taken_up = 0;
        loop {
            let mut open = left.ops.clone();
            open.meet(&pure.ops);
            let mut changed = false;
            for op in open.iter() {
                if ops.is_ready(op, left) {
                    left.ops.remove(op);
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
        let mut open = left.ops.clone();
        open.meet(&self.pure[usize::from(in_hand)].ops);
        open.iter().any(|op| ops.is_ready(op, left))
    }

    /// The least; none where too many sets were looked at.
    fn search(&mut self, ops: &Ops, in_hand: bool, mut left: OpSet) -> Option<Count> {
        let taken_up = self.close(ops, in_hand, &mut left);
        if !self.uses.meets(&left.ops) {
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
            if changes && other_is_ready || !left.ops.contains(op) || !ops.is_ready(op, left) {
                continue;
            }
            let mut rest = left.clone();
            rest.ops.remove(op);
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
        while self.uses.meets(&left.ops) && stuck < 2 {
            let before = left.ops.clone();
            loop {
                let before = left.ops.clone();
                total += self.close(ops, in_hand, &mut left);
                for one in self.mixed.iter().filter(|one| one.begins == in_hand) {
                    if left.ops.contains(one.op) && ops.is_ready(one.op, &left) {
                        left.ops.remove(one.op);
                        total += one.taken_up - Count::from(!one.begins);
                    }
                }
                if left.ops == before {
                    break;
                }
            }
            stuck = if left.ops == before { stuck + 1 } else { 0 };
            if self.uses.meets(&left.ops) {
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
            || mixed.any(|one| left.ops.contains(one.op) && ops.is_ready(one.op, left))
    }
}
