//! Small sets of small numbers.

use std::array;
use std::hash::{Hash, Hasher};

/// Words that lie in the set itself.
const NEAR: usize = 2;

/// A set of numbers below a bound that is fixed when it is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bits {
    /// The first numbers: on most units all there are, and quick to copy and to
    /// compare.
    near: [u64; NEAR],
    /// The others, where the bound is so high.
    far: Option<Box<[u64]>>,
}

/// Word by word: as a whole, an array is hashed as bytes, which takes much longer in
/// the browser.
impl Hash for Bits {
    fn hash<H: Hasher>(&self, state: &mut H) {
        for word in self.near {
            state.write_u64(word);
        }
        for word in self.far.iter().flat_map(|far| far.iter()) {
            state.write_u64(*word);
        }
    }
}

impl Bits {
    /// The empty set over `0..bound`.
    pub fn none(bound: usize) -> Self {
        let far = bound.div_ceil(64).saturating_sub(NEAR);
        Self {
            near: [0; NEAR],
            far: (far > 0).then(|| vec![0; far].into()),
        }
    }

    fn word(&self, at: usize) -> u64 {
        match self.near.get(at) {
            Some(word) => *word,
            None => self.far.as_ref().map_or(0, |far| far[at - NEAR]),
        }
    }

    /// For a member; a set over so few numbers has no such word.
    fn word_mut(&mut self, at: usize) -> Option<&mut u64> {
        match at.checked_sub(NEAR) {
            None => self.near.get_mut(at),
            Some(at) => self.far.as_mut().map(|far| &mut far[at]),
        }
    }

    /// Changes each word by that of the other set.
    fn change(&mut self, other: &Self, change: impl Fn(&mut u64, u64)) {
        for (mine, theirs) in self.near.iter_mut().zip(other.near) {
            change(mine, theirs);
        }
        if let (Some(mine), Some(theirs)) = (&mut self.far, &other.far) {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                change(mine, *theirs);
            }
        }
    }

    /// Whether something is so of a word and that of the other set.
    fn any(&self, other: &Self, is: impl Fn(u64, u64) -> bool) -> bool {
        let near: [bool; NEAR] = array::from_fn(|at| is(self.near[at], other.near[at]));
        near.contains(&true)
            || match (&self.far, &other.far) {
                (Some(mine), Some(theirs)) => {
                    let mut words = mine.iter().zip(theirs);
                    words.any(|(mine, theirs)| is(*mine, *theirs))
                }
                _ => false,
            }
    }

    pub fn insert(&mut self, member: usize) {
        if let Some(word) = self.word_mut(member / 64) {
            *word |= 1 << (member % 64);
        }
    }

    pub fn contains(&self, member: usize) -> bool {
        self.word(member / 64) >> (member % 64) & 1 == 1
    }

    /// Adds every member of `other`.
    pub fn unite(&mut self, other: &Self) {
        self.change(other, |mine, theirs| *mine |= theirs);
    }

    /// Keeps only the members of `other`.
    pub fn meet(&mut self, other: &Self) {
        self.change(other, |mine, theirs| *mine &= theirs);
    }

    pub fn remove(&mut self, member: usize) {
        if let Some(word) = self.word_mut(member / 64) {
            *word &= !(1 << (member % 64));
        }
    }

    /// Whether every member is one of `other`.
    pub fn is_within(&self, other: &Self) -> bool {
        !self.any(other, |mine, theirs| mine & !theirs != 0)
    }

    /// Takes every member of `other` out.
    pub fn remove_all(&mut self, other: &Self) {
        self.change(other, |mine, theirs| *mine &= !theirs);
    }

    pub fn is_empty(&self) -> bool {
        self.words().all(|word| word == 0)
    }

    /// Whether some member is one of `other`.
    pub fn meets(&self, other: &Self) -> bool {
        self.any(other, |mine, theirs| mine & theirs != 0)
    }

    fn words(&self) -> impl Iterator<Item = u64> + '_ {
        let far = self.far.iter().flat_map(|far| far.iter());
        self.near.iter().chain(far).copied()
    }

    /// The members, in rising order.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        let far = self.far.as_deref().unwrap_or_default();
        members(&self.near).chain(members(far).map(|member| NEAR * 64 + member))
    }
}

/// The members of a set that is kept in these words, in rising order.
pub fn members(words: &[u64]) -> impl Iterator<Item = usize> + '_ {
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

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use std::collections::BTreeSet;

    use super::Bits;
    use proptest::collection::btree_set;
    use proptest::prelude::*;

    /// More than two words of bits, and not a whole number of them.
    const BOUND: usize = 150;

    fn of(members: &BTreeSet<usize>) -> Bits {
        let mut bits = Bits::none(BOUND);
        for member in members {
            bits.insert(*member);
        }
        bits
    }

    proptest! {
        #[test]
        fn it_is_a_set(
            one in btree_set(0..BOUND, 0..40),
            other in btree_set(0..BOUND, 0..40),
        ) {
            let bits = of(&one);
            prop_assert!(bits.iter().eq(one.iter().copied()));
            for member in 0..BOUND {
                prop_assert_eq!(bits.contains(member), one.contains(&member));
            }
            let mut both = bits.clone();
            both.unite(&of(&other));
            prop_assert_eq!(both, of(&one.union(&other).copied().collect()));
            let mut shared = bits.clone();
            shared.meet(&of(&other));
            prop_assert_eq!(shared, of(&one.intersection(&other).copied().collect()));
            let mut rest = bits.clone();
            rest.remove_all(&of(&other));
            prop_assert_eq!(&rest, &of(&one.difference(&other).copied().collect()));
            let mut one_by_one = bits.clone();
            other.iter().for_each(|member| one_by_one.remove(*member));
            prop_assert_eq!(one_by_one, rest);
            prop_assert_eq!(bits.is_empty(), one.is_empty());
            prop_assert_eq!(bits.meets(&of(&other)), !one.is_disjoint(&other));
            prop_assert_eq!(bits.is_within(&of(&other)), one.is_subset(&other));
        }

        #[test]
        fn a_part_of_it_is_within_it_and_is_seen_to_be(
            whole in btree_set(0..BOUND, 1..40),
            which in any::<proptest::sample::Index>(),
        ) {
            let left_out = *which.get(&whole.iter().copied().collect::<Vec<_>>());
            let part: BTreeSet<usize> = whole.iter().copied().filter(|one| *one != left_out).collect();
            prop_assert!(of(&part).is_within(&of(&whole)));
            prop_assert!(!of(&whole).is_within(&of(&part)));
            prop_assert!(of(&whole).meets(&of(&BTreeSet::from([left_out]))));
            prop_assert!(!of(&part).meets(&of(&BTreeSet::from([left_out]))));
        }
    }
}
