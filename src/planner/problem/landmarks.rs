//! Landmarks: legs that every plan must open, whichever routes it takes.
//!
//! For each leg this is the set of legs on every way of opening it: dominance in an
//! and/or graph, computed as the greatest fixed point of
//!
//! ```text
//! landmarks(l) = {l} ∪ over the precondition of l: union under "all", intersection under "any"
//! ```
//!
//! (the and/or form of the data-flow equations for dominators: F. E. Allen, J. Cocke,
//! "Graph-theoretic constructs for program control flow analysis", IBM Research Report
//! RC 3923, 1972; landmarks in planning: J. Hoffmann, J. Porteous, L. Sebastia, "Ordered
//! Landmarks in Planning", *Journal of Artificial Intelligence Research* 22 (2004)
//! 215–278; both from memory). A leg that no way reaches has no value. A *given* leg is
//! open although the way to it is no longer open (a rider left off while its carrier went
//! back), so it needs nothing.

use crate::bit_set::BitSet;
use crate::state::PartState;

use super::part_legs::{PartLegs, leg_of};
use super::precondition::Precondition;

/// The landmarks of each leg, transitively closed.
#[derive(Clone, Debug)]
pub struct Landmarks {
    of_leg: Vec<Option<BitSet>>,
    legs: usize,
    part_legs: Vec<PartLegs>,
}

impl Landmarks {
    /// `ways[l]` are the preconditions of the ways of opening leg `l`.
    pub fn new(ways: &[Vec<Precondition>], part_legs: &[PartLegs], given: &BitSet) -> Self {
        let mut landmarks = Self {
            of_leg: vec![None; ways.len()],
            legs: ways.len(),
            part_legs: part_legs.to_vec(),
        };
        for leg in given.iter() {
            let mut only = BitSet::empty(ways.len());
            only.insert(leg);
            landmarks.of_leg[leg] = Some(only);
        }
        loop {
            let mut has_changed = false;
            let others = ways
                .iter()
                .enumerate()
                .filter(|(leg, _)| !given.contains(*leg));
            for (leg, ways) in others {
                let next = landmarks.of_any(ways).map(|mut set| {
                    set.insert(leg);
                    set
                });
                if next != landmarks.of_leg[leg] {
                    landmarks.of_leg[leg] = next;
                    has_changed = true;
                }
            }
            if !has_changed {
                return landmarks;
            }
        }
    }

    /// The landmarks of a precondition; `None` where it can never hold.
    pub fn of(&self, precondition: &Precondition) -> Option<BitSet> {
        precondition.fold_legs(self.legs, &|part, state: PartState| {
            let least = &self.of_leg[leg_of(part, state, &self.part_legs)];
            let off = &self.of_leg[leg_of(part, PartState::Off, &self.part_legs)];
            match (least, off) {
                (Some(least), Some(off)) => {
                    let mut set = least.clone();
                    set.intersect_with(off);
                    Some(set)
                }
                (one, other) => one.clone().or_else(|| other.clone()),
            }
        })
    }

    /// The landmarks that these ways share; `None` where none of them is possible.
    pub fn of_any(&self, ways: &[Precondition]) -> Option<BitSet> {
        ways.iter()
            .filter_map(|way| self.of(way))
            .reduce(|mut set, way| {
                set.intersect_with(&way);
                set
            })
    }

    /// Those of these open legs whose own landmarks are not all open.
    pub fn cut_off(&self, open_legs: &BitSet) -> BitSet {
        let mut set = BitSet::empty(self.legs);
        for leg in open_legs.iter() {
            let landmarks = self.of_leg[leg].as_ref();
            if !landmarks.is_some_and(|landmarks| landmarks.is_subset(open_legs)) {
                set.insert(leg);
            }
        }
        set
    }
}
