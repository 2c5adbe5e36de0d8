//! Preconditions compiled for speed: most become one set of legs that must be open and
//! one set that must not be.

use crate::bit_set::BitSet;
use crate::state::PartState;

use super::precondition::Precondition;
use super::search_state::SearchState;

/// A precondition that is tested in many states.
#[derive(Clone, Debug)]
pub struct CompiledPrecondition {
    open: BitSet,
    not_open: BitSet,
    /// Tasks that must be done, as bits.
    done: u64,
    /// Of each list one must hold.
    any: Vec<Vec<CompiledPrecondition>>,
}

impl CompiledPrecondition {
    /// Always holds.
    fn always(parts: usize) -> Self {
        Self {
            open: BitSet::empty(2 * parts),
            not_open: BitSet::empty(2 * parts),
            done: 0,
            any: Vec::new(),
        }
    }

    pub fn compile(precondition: &Precondition, parts: usize) -> Self {
        let mut compiled = Self::always(parts);
        compiled.add(precondition, parts);
        compiled
    }

    fn add(&mut self, precondition: &Precondition, parts: usize) {
        match precondition {
            Precondition::All(all) => all.iter().for_each(|one| self.add(one, parts)),
            Precondition::Any(any) | Precondition::OpenOrAway(any) => match any.as_slice() {
                [only] => self.add(only, parts),
                several => {
                    let compiled = several.iter().map(|one| Self::compile(one, parts));
                    self.any.push(compiled.collect());
                }
            },
            Precondition::AtLeast(part, state) => self.require_at_least(*part, *state),
            Precondition::NotOff(part) => self.not_open.insert(2 * part + 1),
            Precondition::Fitted(part) | Precondition::FittedBeforeLive(part) => {
                self.require_exactly(*part, PartState::Fitted);
            }
            Precondition::TasksDone(tasks) => self.done |= tasks,
        }
    }

    fn require_at_least(&mut self, part: usize, state: PartState) {
        match state {
            PartState::Fitted => {}
            PartState::Eased => self.open.insert(2 * part),
            PartState::Off => self.open.insert(2 * part + 1),
        }
    }

    /// Adds that the part must be in exactly this state.
    pub fn require_exactly(&mut self, part: usize, state: PartState) {
        self.require_at_least(part, state);
        match state {
            PartState::Fitted => {
                self.not_open.insert(2 * part);
                self.not_open.insert(2 * part + 1);
            }
            PartState::Eased => self.not_open.insert(2 * part + 1),
            PartState::Off => {}
        }
    }

    pub fn holds_in(&self, state: &SearchState) -> bool {
        self.open.is_subset(&state.open_legs)
            && !self.not_open.intersects(&state.open_legs)
            && state.tasks & self.done == 0
            && self
                .any
                .iter()
                .all(|several| several.iter().any(|one| one.holds_in(state)))
    }
}
