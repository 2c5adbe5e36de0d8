//! What is left to be done in a state, and what comes before what only there.

use crate::bits::Bits;

use super::super::super::Ahead;
use super::{Asked, Numbers, OpSet, Ops, Stays};

impl Ops {
    /// What is left to be done, and the least work after which less comes before
    /// something else: of opening once more what was back for a while, or another
    /// route besides the only one. None where that makes no difference.
    pub fn left(&self, ahead: &Ahead, in_place: &Bits) -> (OpSet, Option<u64>) {
        let mut left = Bits::none(self.used.len());
        let mut add = |of: &[Numbers], leg: usize| {
            if let Some(numbers) = of[leg] {
                left.insert(numbers[usize::from(in_place.contains(leg))]);
            }
        };
        for leg in ahead.required.iter() {
            if !ahead.walked.contains(leg) {
                add(&self.outs, leg);
                add(&self.backs, leg);
            }
        }
        for leg in ahead.walked.iter() {
            add(&self.backs, leg);
        }
        for (task, op) in self.tasks.iter().enumerate() {
            if ahead.tasks >> task & 1 == 1 {
                left.insert(*op);
            }
        }
        let mut left = OpSet {
            ops: left,
            states: 0,
        };
        let again = self.what_stays(&mut left);
        let mut there = ahead.required.clone();
        there.unite(ahead.walked);
        let besides = self.only_routes(&mut left, &there);
        (left, again.into_iter().chain(besides).min())
    }

    /// Puts in the states in which what must stay comes back before.
    fn what_stays(&self, left: &mut OpSet) -> Option<u64> {
        let now = |one: &&Stays| !one.unless.meets(&left.ops) || one.or_if.meets(&left.ops);
        let now = self.stays.iter().filter(now);
        let states = now.fold(0, |states, one| states | 1 << one.state);
        left.states |= states;
        let later = left.ops.iter().flat_map(|op| &self.sometimes[op]);
        let binds = later.filter(|(at, before)| states >> at & 1 == 1 && before.meets(&left.ops));
        let binds = binds.fold(0_u64, |binds, (at, _)| binds | 1 << at);
        let binding = self.stays.iter().filter(|one| binds >> one.state & 1 == 1);
        binding.map(|one| one.again).min()
    }

    /// Puts in the states in which only one route of a choice is among these legs.
    fn only_routes(&self, left: &mut OpSet, there: &Bits) -> Option<u64> {
        let mut least: Option<u64> = None;
        for choice in &self.choices {
            let mut open =
                (0..choice.routes.len()).filter(|at| choice.routes[*at].is_within(there));
            if choice.by.meets(&left.ops)
                && let (Some(only), None) = (open.next(), open.next())
            {
                left.states |= 1 << (choice.state + only);
                let besides = self.besides(choice, only, there);
                least = least.into_iter().chain(besides).min();
            }
        }
        least
    }

    /// The least work of opening and closing what these legs lack of another route:
    /// of parts that they do not open at all. None where there is no other.
    fn besides(&self, choice: &Asked, only: usize, there: &Bits) -> Option<u64> {
        let others = choice.routes.iter().enumerate();
        let others = others.filter(|(at, _)| *at != only);
        let lacking = others.map(|(_, route)| {
            let mut last = None;
            let parts = route.iter().map(|leg| leg / 2);
            let parts = parts.filter(|part| last.replace(*part) != Some(*part));
            let lacking =
                parts.filter(|part| !there.contains(2 * part) && !there.contains(2 * part + 1));
            lacking.map(|part| self.again[part]).sum()
        });
        lacking.min()
    }
}
