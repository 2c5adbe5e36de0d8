//! Small sets of small numbers.

use std::array;
use std::hash::{Hash, Hasher};

/// Words that lie in the set itself. Most units need no more, and these are quick to copy
/// and to compare.
const INLINE_WORDS: usize = 2;

/// A set of numbers below a bound that is fixed when it is made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct BitSet {
    inline: [u64; INLINE_WORDS],
    /// The higher numbers, where the bound is that high.
    heap: Option<Box<[u64]>>,
}

/// Word by word: hashed as a whole, an array is hashed as bytes, which takes much longer in
/// the browser.
impl Hash for BitSet {
    fn hash<H: Hasher>(&self, state: &mut H) {
        for word in self.inline {
            state.write_u64(word);
        }
        for word in self.heap.iter().flat_map(|heap| heap.iter()) {
            state.write_u64(*word);
        }
    }
}

impl BitSet {
    /// The empty set over `0..bound`.
    pub fn empty(bound: usize) -> Self {
        let heap = bound.div_ceil(64).saturating_sub(INLINE_WORDS);
        Self {
            inline: [0; INLINE_WORDS],
            heap: (heap > 0).then(|| vec![0; heap].into()),
        }
    }

    fn word(&self, index: usize) -> u64 {
        match self.inline.get(index) {
            Some(word) => *word,
            None => self
                .heap
                .as_ref()
                .map_or(0, |heap| heap[index - INLINE_WORDS]),
        }
    }

    /// `None` beyond the words of a set with a low bound.
    fn word_mut(&mut self, index: usize) -> Option<&mut u64> {
        match index.checked_sub(INLINE_WORDS) {
            None => self.inline.get_mut(index),
            Some(index) => self.heap.as_mut().map(|heap| &mut heap[index]),
        }
    }

    fn change_words(&mut self, other: &Self, change: impl Fn(&mut u64, u64)) {
        for (mine, theirs) in self.inline.iter_mut().zip(other.inline) {
            change(mine, theirs);
        }
        if let (Some(mine), Some(theirs)) = (&mut self.heap, &other.heap) {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                change(mine, *theirs);
            }
        }
    }

    fn any_word(&self, other: &Self, is: impl Fn(u64, u64) -> bool) -> bool {
        let inline: [bool; INLINE_WORDS] =
            array::from_fn(|index| is(self.inline[index], other.inline[index]));
        inline.contains(&true)
            || match (&self.heap, &other.heap) {
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

    pub fn union_with(&mut self, other: &Self) {
        self.change_words(other, |mine, theirs| *mine |= theirs);
    }

    pub fn intersect_with(&mut self, other: &Self) {
        self.change_words(other, |mine, theirs| *mine &= theirs);
    }

    pub fn remove(&mut self, member: usize) {
        if let Some(word) = self.word_mut(member / 64) {
            *word &= !(1 << (member % 64));
        }
    }

    pub fn is_subset(&self, other: &Self) -> bool {
        !self.any_word(other, |mine, theirs| mine & !theirs != 0)
    }

    /// Removes every member of `other`.
    pub fn subtract(&mut self, other: &Self) {
        self.change_words(other, |mine, theirs| *mine &= !theirs);
    }

    pub fn is_empty(&self) -> bool {
        self.words().all(|word| word == 0)
    }

    pub fn intersects(&self, other: &Self) -> bool {
        self.any_word(other, |mine, theirs| mine & theirs != 0)
    }

    fn words(&self) -> impl Iterator<Item = u64> + '_ {
        let heap = self.heap.iter().flat_map(|heap| heap.iter());
        self.inline.iter().chain(heap).copied()
    }

    /// The members, in rising order.
    pub fn iter(&self) -> impl Iterator<Item = usize> + '_ {
        let heap = self.heap.as_deref().unwrap_or_default();
        members(&self.inline).chain(members(heap).map(|member| INLINE_WORDS * 64 + member))
    }
}

fn members(words: &[u64]) -> impl Iterator<Item = usize> + '_ {
    words.iter().enumerate().flat_map(|(index, word)| {
        let mut rest = *word;
        std::iter::from_fn(move || {
            (rest != 0).then(|| {
                let bit = rest.trailing_zeros() as usize;
                rest &= rest - 1;
                index * 64 + bit
            })
        })
    })
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use std::collections::BTreeSet;

    use super::BitSet;
    use proptest::collection::btree_set;
    use proptest::prelude::*;

    /// More than two words of bits, and not a whole number of them.
    const BOUND: usize = 150;

    fn bit_set(members: &BTreeSet<usize>) -> BitSet {
        let mut bits = BitSet::empty(BOUND);
        for member in members {
            bits.insert(*member);
        }
        bits
    }

    proptest! {
        #[test]
        fn every_operation_agrees_with_a_tree_set(
            one in btree_set(0..BOUND, 0..40),
            other in btree_set(0..BOUND, 0..40),
        ) {
            let bits = bit_set(&one);
            prop_assert!(bits.iter().eq(one.iter().copied()));
            for member in 0..BOUND {
                prop_assert_eq!(bits.contains(member), one.contains(&member));
            }
            let mut both = bits.clone();
            both.union_with(&bit_set(&other));
            prop_assert_eq!(both, bit_set(&one.union(&other).copied().collect()));
            let mut shared = bits.clone();
            shared.intersect_with(&bit_set(&other));
            prop_assert_eq!(shared, bit_set(&one.intersection(&other).copied().collect()));
            let mut rest = bits.clone();
            rest.subtract(&bit_set(&other));
            prop_assert_eq!(&rest, &bit_set(&one.difference(&other).copied().collect()));
            let mut one_by_one = bits.clone();
            other.iter().for_each(|member| one_by_one.remove(*member));
            prop_assert_eq!(one_by_one, rest);
            prop_assert_eq!(bits.is_empty(), one.is_empty());
            prop_assert_eq!(bits.intersects(&bit_set(&other)), !one.is_disjoint(&other));
            prop_assert_eq!(bits.is_subset(&bit_set(&other)), one.is_subset(&other));
        }

        #[test]
        fn a_set_with_one_member_less_is_a_subset_and_not_the_other_way_round(
            whole in btree_set(0..BOUND, 1..40),
            which in any::<proptest::sample::Index>(),
        ) {
            let left_out = *which.get(&whole.iter().copied().collect::<Vec<_>>());
            let part: BTreeSet<usize> = whole.iter().copied().filter(|one| *one != left_out).collect();
            prop_assert!(bit_set(&part).is_subset(&bit_set(&whole)));
            prop_assert!(!bit_set(&whole).is_subset(&bit_set(&part)));
            prop_assert!(bit_set(&whole).intersects(&bit_set(&BTreeSet::from([left_out]))));
            prop_assert!(!bit_set(&part).intersects(&bit_set(&BTreeSet::from([left_out]))));
        }
    }
}
