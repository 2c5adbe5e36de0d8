//! Ways of an operation, projected onto the shared tools and faces.

use smallvec::SmallVec;

/// The tool in hand and the face up, as indices of shared resources; or [`OTHER`].
pub type Current = [u8; 2];

/// Any tool that is not shared, or no face.
pub const OTHER: u8 = u8::MAX;

/// The tool and the face that are changed to first.
pub type ResourceChange = [Option<u8>; 2];

/// One way of an operation.
#[derive(Clone, Copy)]
pub struct OperationVariant {
    /// The first and the last tool, and face; `None` where it uses none.
    ends: [Option<[u8; 2]>; 2],
    /// The price of the changes within it.
    pub price_within: u64,
    /// The resources that it uses, and those of which it starts a run within, one bit each.
    pub uses: u64,
    pub starts_runs_of: u64,
}

impl OperationVariant {
    /// A way that uses these tools and these faces, in order. `price` is what a change to a
    /// resource costs.
    pub fn new(sequences: [SmallVec<[u8; 4]>; 2], price: impl Fn(u8) -> u64) -> Self {
        let mut variant = Self {
            ends: [None; 2],
            price_within: 0,
            uses: 0,
            starts_runs_of: 0,
        };
        for (ends, mut sequence) in variant.ends.iter_mut().zip(sequences) {
            sequence.dedup();
            *ends = sequence
                .first()
                .zip(sequence.last())
                .map(|(first, last)| [*first, *last]);
            let shared = sequence.iter().enumerate();
            for (position, resource) in shared.filter(|(_, resource)| **resource != OTHER) {
                variant.uses |= 1 << resource;
                if position > 0 {
                    variant.starts_runs_of |= 1 << resource;
                    variant.price_within += price(*resource);
                }
            }
        }
        variant
    }

    /// Whether it ends with the tool and the face that it began with.
    pub fn is_uniform(&self) -> bool {
        let mut ends = self.ends.iter().flatten();
        ends.all(|[first, last]| first == last)
    }

    /// What is changed to before it.
    pub fn change_before(&self, current: Current) -> ResourceChange {
        let change = |side: usize| {
            let [first, _] = self.ends[side]?;
            (first != current[side]).then_some(first)
        };
        [change(0), change(1)]
    }

    /// What is in hand and up after it.
    pub fn current_after(&self, current: Current) -> Current {
        let after = |side: usize| self.ends[side].map_or(current[side], |[_, last]| last);
        [after(0), after(1)]
    }
}

/// Whether the other one makes this change, alone or with one more.
pub fn is_part_of(one: ResourceChange, other: ResourceChange) -> bool {
    let mut sides = one.iter().zip(&other);
    sides.all(|(one, other)| one.is_none() || one == other)
}

/// The resources of which a change starts a run (`true`) or ends one.
pub fn changed_runs(current: Current, change: ResourceChange) -> impl Iterator<Item = (u8, bool)> {
    let changed = change.into_iter().zip(current).flat_map(|(to, from)| {
        let pair = to.map(|to| [(to, true), (from, false)]);
        pair.into_iter().flatten()
    });
    changed.filter(|(resource, _)| *resource != OTHER)
}

/// The variants that cost no change and leave what is in hand and up. Where there are
/// several, one that costs nothing within is as good as any.
pub fn free_variants(
    variants: &[OperationVariant],
    current: Current,
) -> impl Iterator<Item = usize> {
    let all = variants.iter().enumerate();
    let free = all.filter(move |(_, variant)| {
        let is_settled = variant.price_within == 0 || variants.len() == 1;
        is_settled && variant.is_uniform() && variant.change_before(current) == [None; 2]
    });
    free.map(|(index, _)| index)
}
