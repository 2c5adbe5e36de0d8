//! What is certain to be needed, whichever routes are taken.
//!
//! For each leg: the legs that every way of walking it goes through. That is
//! dominance in an and/or graph, computed as the greatest fixed point of
//!
//! ```text
//! must(l) = {l} ∪ over the formula of l: union under "all", meet under "any"
//! ```
//!
//! (the and/or form of the data-flow equations for dominators: F. E. Allen,
//! J. Cocke, "Graph-theoretic constructs for program control flow analysis", IBM
//! Research Report RC 3923, 1972, from memory). Legs that no way reaches have no
//! value. Legs that are *given* are walked already although the way to them is
//! not open any more (a rider left off while its carrier went back): they need
//! nothing.

use crate::PartState;
use crate::bits::Bits;

use super::Shape;
use super::formula::Holds;

/// Certain legs, for each leg: of all its ways, walked to the end.
#[derive(Clone, Debug)]
pub struct Certain {
    must: Vec<Option<Bits>>,
    legs: usize,
    shapes: Vec<Shape>,
}

impl Certain {
    /// `ways[l]` are the ways of walking leg `l`; each is all that it needs.
    pub fn new(ways: &[Vec<Holds>], shapes: &[Shape], given: &Bits) -> Self {
        let mut certain = Self {
            must: vec![None; ways.len()],
            legs: ways.len(),
            shapes: shapes.to_vec(),
        };
        for leg in given.iter() {
            let mut only = Bits::none(ways.len());
            only.insert(leg);
            certain.must[leg] = Some(only);
        }
        loop {
            let mut changed = false;
            let others = ways
                .iter()
                .enumerate()
                .filter(|(leg, _)| !given.contains(*leg));
            for (leg, ways) in others {
                let next = certain.of_ways(ways).map(|mut set| {
                    set.insert(leg);
                    set
                });
                if next != certain.must[leg] {
                    certain.must[leg] = next;
                    changed = true;
                }
            }
            if !changed {
                return certain;
            }
        }
    }

    /// Certain legs of a formula, all the way down; `None` when it can never hold.
    pub fn of(&self, holds: &Holds) -> Option<Bits> {
        holds.fold(self.legs, &|part, level: PartState| {
            let least = &self.must[super::leg(part, level, &self.shapes)];
            let off = &self.must[super::leg(part, PartState::Off, &self.shapes)];
            match (least, off) {
                (Some(least), Some(off)) => {
                    let mut set = least.clone();
                    set.meet(off);
                    Some(set)
                }
                (one, other) => one.clone().or_else(|| other.clone()),
            }
        })
    }

    /// Certain legs of several ways; `None` when none of them can be walked.
    pub fn of_ways(&self, ways: &[Holds]) -> Option<Bits> {
        ways.iter()
            .filter_map(|way| self.of(way))
            .reduce(|mut set, way| {
                set.meet(&way);
                set
            })
    }

    /// Those of these walked legs to which the way is not open any more.
    pub fn left_alone(&self, walked: &Bits) -> Bits {
        let mut set = Bits::none(self.legs);
        for leg in walked.iter() {
            let open = self.must[leg].as_ref();
            if !open.is_some_and(|must| must.is_within(walked)) {
                set.insert(leg);
            }
        }
        set
    }
}
