//! Whether a formula holds, put so that it is quick to ask: most are sets of legs
//! that must be walked and sets that must not be.

use crate::PartState;
use crate::bits::Bits;

use super::formula::Holds;
use super::node::Node;

/// A formula, made ready for many states.
#[derive(Clone, Debug)]
pub struct Test {
    /// Legs that must be walked.
    walked: Bits,
    /// Legs that must not be.
    unwalked: Bits,
    /// Tasks that must be done, as bits.
    done: u64,
    /// Of each of these one must hold.
    any: Vec<Vec<Test>>,
}

impl Test {
    /// Always met; there are so many parts.
    pub fn none(parts: usize) -> Self {
        Self {
            walked: Bits::none(2 * parts),
            unwalked: Bits::none(2 * parts),
            done: 0,
            any: Vec::new(),
        }
    }

    /// What is asked by the formula.
    pub fn of(holds: &Holds, parts: usize) -> Self {
        let mut test = Self::none(parts);
        test.and(holds, parts);
        test
    }

    fn and(&mut self, holds: &Holds, parts: usize) {
        match holds {
            Holds::All(all) => all.iter().for_each(|one| self.and(one, parts)),
            Holds::Any(any) | Holds::Away(any) => match any.as_slice() {
                [only] => self.and(only, parts),
                some => self
                    .any
                    .push(some.iter().map(|one| Self::of(one, parts)).collect()),
            },
            Holds::Own(part, level) => self.at_least(*part, *level),
            Holds::On(part) => self.unwalked.insert(2 * part + 1),
            Holds::InPlace(part) => self.is(*part, PartState::Fitted),
            Holds::Done(tasks) => self.done |= tasks,
        }
    }

    fn at_least(&mut self, part: usize, level: PartState) {
        match level {
            PartState::Fitted => {}
            PartState::Eased => self.walked.insert(2 * part),
            PartState::Off => self.walked.insert(2 * part + 1),
        }
    }

    /// The part must be just so, too.
    pub fn is(&mut self, part: usize, level: PartState) {
        self.at_least(part, level);
        match level {
            PartState::Fitted => {
                self.unwalked.insert(2 * part);
                self.unwalked.insert(2 * part + 1);
            }
            PartState::Eased => self.unwalked.insert(2 * part + 1),
            PartState::Off => {}
        }
    }

    /// Whether it is met.
    pub fn is_met(&self, node: &Node) -> bool {
        self.walked.is_within(&node.parts)
            && !self.unwalked.meets(&node.parts)
            && node.tasks & self.done == 0
            && self
                .any
                .iter()
                .all(|some| some.iter().any(|one| one.is_met(node)))
    }
}
