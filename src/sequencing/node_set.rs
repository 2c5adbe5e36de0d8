//! Sets of nodes, as wide as the problem needs.

/// A set of numbers below `64 * W`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(super) struct NodeSet<const W: usize>([u64; W]);

impl<const W: usize> NodeSet<W> {
    pub const NONE: Self = Self([0; W]);

    pub fn insert(&mut self, member: usize) {
        self.0[member / 64] |= 1 << (member % 64);
    }

    pub fn with(mut self, member: usize) -> Self {
        self.insert(member);
        self
    }

    pub fn contains(&self, member: usize) -> bool {
        self.0[member / 64] >> (member % 64) & 1 == 1
    }

    pub fn and(mut self, other: &Self) -> Self {
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            *mine &= theirs;
        }
        self
    }

    pub fn or(mut self, other: &Self) -> Self {
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            *mine |= theirs;
        }
        self
    }

    /// The members that are not in `other`.
    pub fn without(mut self, other: &Self) -> Self {
        for (mine, theirs) in self.0.iter_mut().zip(&other.0) {
            *mine &= !theirs;
        }
        self
    }

    pub fn is_within(&self, other: &Self) -> bool {
        self.0
            .iter()
            .zip(&other.0)
            .all(|(mine, theirs)| mine & !theirs == 0)
    }

    pub fn meets(&self, other: &Self) -> bool {
        self.0
            .iter()
            .zip(&other.0)
            .any(|(mine, theirs)| mine & theirs != 0)
    }

    pub fn len(&self) -> usize {
        self.0.iter().map(|word| word.count_ones() as usize).sum()
    }

    /// The members, in rising order.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        members(&self.0)
    }

    /// A hash that is the same on every platform.
    pub fn hash(&self, salt: usize) -> u64 {
        const ODD: u64 = 0x9e37_79b9_7f4a_7c15;
        let mut sum = (salt as u64 + 1).wrapping_mul(0xd6e8_feb8_6659_fd93);
        for word in self.0 {
            sum = (sum ^ word).wrapping_mul(ODD);
            sum ^= sum >> 29;
        }
        sum.wrapping_mul(ODD)
    }
}

fn members(words: &[u64]) -> impl Iterator<Item = usize> + '_ {
    words.iter().enumerate().flat_map(|(at, word)| {
        let mut rest = *word;
        std::iter::from_fn(move || {
            (rest != 0).then(|| {
                let bit = rest.trailing_zeros() as usize;
                rest &= rest - 1;
                at * 64 + bit
            })
        })
    })
}
