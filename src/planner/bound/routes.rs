//! Which routes could still be taken.
//!
//! Where a leg or a task that is certain asks for *one of* several routes and
//! none of them is open, every plan takes one: so the legs of every plan include
//! those of one of the completions listed here. The same goes for a rider that
//! comes off in place or on the bench, and for one that is off and goes back:
//! either it is taken in place, or a carrier of it comes off.

use crate::Way;
use crate::bits::Bits;
use crate::problem::{Certain, Holds, Problem};
use crate::{Op, PartState};

use super::Ahead;
use super::legs::find;

/// A set of legs that is enough for what is left, as far as the formulas say.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Completion {
    /// The legs, those walked already too.
    pub legs: Bits,
    /// Legs of riders that are taken in place in it.
    pub in_place: Bits,
}

/// Every choice of a problem.
pub struct Routes {
    /// Choices of each leg and, after those, of each task, by place in `choices`.
    of: Vec<Vec<usize>>,
    choices: Vec<Vec<Bits>>,
    /// Legs of riders that have two ways.
    riders: Vec<Option<Rider>>,
    legs: usize,
}

/// A rider's two ways off.
struct Rider {
    /// Legs that it is certain to need in place.
    in_place: Bits,
    /// For each carrier, what must come off for the bench; none where that never
    /// can.
    carriers: Vec<Bits>,
    /// The carriers' own legs.
    off: Bits,
    /// Choices that it makes in place.
    choices: Vec<usize>,
}

/// Sets to look at, at the most, in one state: real units have a few.
const MOST: usize = 96;
/// Where there are more legs than this, only the certain ones are looked at.
const MOST_LEGS: usize = 512;

impl Routes {
    /// `ways[l]` are the ways of walking leg `l`.
    #[cold]
    pub fn new(problem: &Problem, certain: &Certain, ways: &[Vec<Holds>]) -> Self {
        let mut routes = Self {
            of: Vec::new(),
            choices: Vec::new(),
            riders: Vec::new(),
            legs: ways.len(),
        };
        let tasks = (0..problem.request.tasks.len()).map(|task| {
            problem
                .actions
                .iter()
                .find(|action| action.does == 1 << task)
                .map(|action| &action.needs)
        });
        let legs = ways.iter().map(|ways| match ways.as_slice() {
            [way] => Some(way),
            _ => None,
        });
        for holds in legs.chain(tasks) {
            let places = holds.map(|holds| routes.places(certain, holds));
            routes.of.push(places.unwrap_or_default());
        }
        for leg in 0..ways.len() {
            let rider = rider(problem, certain, leg);
            let in_place = rider.map(|(rider, needs)| {
                let choices = routes.places(certain, needs);
                Rider { choices, ..rider }
            });
            routes.riders.push(in_place);
        }
        routes
    }

    /// The choices that a formula asks for.
    fn places(&mut self, certain: &Certain, holds: &Holds) -> Vec<usize> {
        let choices = holds.choices_of(self.legs, |one| certain.of(one));
        choices
            .into_iter()
            .map(|choice| self.place(choice))
            .collect()
    }

    fn place(&mut self, choice: Vec<Bits>) -> usize {
        let known = self.choices.iter().position(|known| *known == choice);
        known.unwrap_or_else(|| {
            self.choices.push(choice);
            self.choices.len() - 1
        })
    }

    /// Every completion that no other one is a part of; the certain legs alone
    /// where there are too many.
    pub fn completions(&self, ahead: &Ahead) -> Vec<Completion> {
        let certain = Completion {
            legs: ahead.required.clone(),
            in_place: Bits::none(self.legs),
        };
        let mut open = vec![certain.clone()];
        let mut done: Vec<Completion> = Vec::new();
        let mut looked_at = 0;
        while let Some(one) = open.pop() {
            looked_at += 1;
            if looked_at > MOST || self.legs > MOST_LEGS {
                return vec![certain];
            }
            if done.iter().any(|known| known.is_part_of(&one)) {
                continue;
            }
            if !self.branch(ahead, &one, &mut open) {
                done.retain(|known| !one.is_part_of(known));
                done.push(one);
            }
        }
        done
    }

    /// Adds what the next choice splits this into; whether there was one.
    fn branch(&self, ahead: &Ahead, one: &Completion, into: &mut Vec<Completion>) -> bool {
        let mut there = one.legs.clone();
        there.unite(ahead.walked);
        let mut left = one.legs.clone();
        left.remove_all(ahead.walked);
        let with = |more: &Bits| {
            let mut next = one.clone();
            next.legs.unite(more);
            next
        };
        let tasks = self.of.len() - self.legs;
        let tasks = (0..tasks).filter(|task| ahead.tasks >> task & 1 == 1);
        let asking = left.iter().chain(tasks.map(|task| self.legs + task));
        let in_place = one.in_place.iter().filter(|at| left.contains(*at));
        let riders = in_place.filter_map(|at| self.riders[at].as_ref());
        let choices = asking.flat_map(|at| &self.of[at]);
        for choice in choices.chain(riders.flat_map(|rider| &rider.choices)) {
            let routes = &self.choices[*choice];
            if !routes.iter().any(|route| route.is_within(&there)) {
                into.extend(routes.iter().rev().map(with));
                return true;
            }
        }
        for at in there.iter().filter(|at| !one.in_place.contains(*at)) {
            let Some(rider) = &self.riders[at] else {
                continue;
            };
            if !rider.off.meets(&there) {
                into.extend(rider.carriers.iter().rev().map(with));
                // One that is off already only goes back.
                let mut next = match ahead.walked.contains(at) {
                    true => one.clone(),
                    false => with(&rider.in_place),
                };
                next.in_place.insert(at);
                into.push(next);
                return true;
            }
        }
        false
    }
}

impl Completion {
    /// Whether a plan for the other is never less work: it walks these legs too,
    /// and takes no rider in place that this one need not.
    fn is_part_of(&self, other: &Self) -> bool {
        self.legs.is_within(&other.legs) && self.in_place.is_within(&other.in_place)
    }
}

/// The rider's ways, and what it needs in place.
fn rider<'p>(problem: &'p Problem, certain: &Certain, leg: usize) -> Option<(Rider, &'p Holds)> {
    let (local, off) = (leg / 2, !leg.is_multiple_of(2));
    let numbers = &problem.numbers;
    if !off || !numbers.has_two_ways(local) || problem.shapes[local].eases {
        return None;
    }
    let op = Op::TakeOff(numbers.part(local), Way::InPlace);
    let needs = &problem.actions[find(problem, op)?].needs;
    let mut own = Bits::none(2 * numbers.len());
    let carriers = numbers.carriers(local).iter();
    let carriers = carriers.filter_map(|carrier| {
        let holds = Holds::Own(*carrier, PartState::Off);
        own.insert(2 * carrier + 1);
        certain.of(&holds)
    });
    let carriers = carriers.collect();
    let rider = Rider {
        in_place: certain.of(needs)?,
        carriers,
        off: own,
        choices: Vec::new(),
    };
    Some((rider, needs))
}
