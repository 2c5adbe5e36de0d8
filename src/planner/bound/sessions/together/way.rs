//! Ways of an operation, as the tools and faces in view see them.

use smallvec::SmallVec;

/// The tool in hand and the face up, by place among the kinds; or [`OTHER`].
pub type Have = [u8; 2];

/// Any tool that is not in view, or no face.
pub const OTHER: u8 = u8::MAX;

/// The tool and the face that are changed to first.
pub type Change = [Option<u8>; 2];

/// One way of an operation.
#[derive(Clone, Copy)]
pub struct Way {
    /// The first and the last tool, and face; nothing where it uses none.
    ends: [Option<[u8; 2]>; 2],
    /// What the changes inside take.
    pub inside: u64,
    /// All that it uses, and what it takes up inside, a bit each.
    pub uses: u64,
    pub takes_up: u64,
}

impl Way {
    /// One that uses these tools and these faces, in order; `price` is what a change
    /// to a kind takes.
    pub fn new(orders: [SmallVec<[u8; 4]>; 2], price: impl Fn(u8) -> u64) -> Self {
        let mut way = Self {
            ends: [None; 2],
            inside: 0,
            uses: 0,
            takes_up: 0,
        };
        for (ends, mut order) in way.ends.iter_mut().zip(orders) {
            order.dedup();
            *ends = order
                .first()
                .zip(order.last())
                .map(|(one, two)| [*one, *two]);
            for (at, kind) in order.iter().enumerate().filter(|(_, kind)| **kind != OTHER) {
                way.uses |= 1 << kind;
                if at > 0 {
                    way.takes_up |= 1 << kind;
                    way.inside += price(*kind);
                }
            }
        }
        way
    }

    /// Whether it leaves what it asked for.
    pub fn is_pure(&self) -> bool {
        let mut ends = self.ends.iter().flatten();
        ends.all(|[first, last]| first == last)
    }

    /// What is changed to before it.
    pub fn begins(&self, have: Have) -> Change {
        let begins = |side: usize| {
            let [first, _] = self.ends[side]?;
            (first != have[side]).then_some(first)
        };
        [begins(0), begins(1)]
    }

    /// What is in hand and up after it.
    pub fn leaves(&self, have: Have) -> Have {
        let leaves = |side: usize| self.ends[side].map_or(have[side], |[_, last]| last);
        [leaves(0), leaves(1)]
    }
}

/// Whether the other is this change, or this and one more.
pub fn is_within(one: Change, other: Change) -> bool {
    let mut sides = one.iter().zip(&other);
    sides.all(|(one, other)| one.is_none() || one == other)
}

/// The kinds that a change takes up (`true`) and lays aside.
pub fn turns(have: Have, change: Change) -> impl Iterator<Item = (u8, bool)> {
    let turns = change.into_iter().zip(have).flat_map(|(to, from)| {
        let to_and_from = to.map(|to| [(to, true), (from, false)]);
        to_and_from.into_iter().flatten()
    });
    turns.filter(|(kind, _)| *kind != OTHER)
}

/// The ways that ask for no change and leave none. Of several ways only one that
/// takes nothing is as good as chosen.
pub fn free_ways(ways: &[Way], have: Have) -> impl Iterator<Item = usize> {
    let all = ways.iter().enumerate();
    let free = all.filter(move |(_, way)| {
        let is_settled = way.inside == 0 || ways.len() == 1;
        is_settled && way.is_pure() && way.begins(have) == [None; 2]
    });
    free.map(|(at, _)| at)
}
