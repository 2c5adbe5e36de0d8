//! Which routes could still be taken.
//!
//! Where a landmark or a remaining task asks for *one of* several routes and none of them is
//! open, every plan takes one: the legs of every plan include those of one of the
//! *completions* listed here. The same goes for a rider that comes off in place or on the
//! bench, and for one that is off and goes back: either it is moved in place, or a carrier
//! of it comes off.

use crate::bit_set::BitSet;
use crate::op::{Op, Way};
use crate::problem::{Landmarks, Precondition, Problem};
use crate::state::PartState;

use super::leg_profile::find_action;
use super::state_facts::StateFacts;

/// A set of legs that is enough for what is left, as far as the preconditions say.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Completion {
    /// The legs, those that are open included.
    pub legs: BitSet,
    /// Legs of riders that are moved in place.
    pub in_place: BitSet,
}

/// Every choice of a problem.
pub struct RouteChoices {
    /// For each leg and, after those, for each task: its choices, as indices.
    choices_of: Vec<Vec<usize>>,
    choices: Vec<Vec<BitSet>>,
    /// For each leg of a rider that has two ways.
    riders: Vec<Option<Rider>>,
    legs: usize,
}

/// The two ways of a rider.
struct Rider {
    /// The landmarks of its way in place.
    in_place: BitSet,
    /// For each carrier that can come off, the landmarks of that.
    carriers: Vec<BitSet>,
    /// The carriers' own legs.
    carrier_legs: BitSet,
    /// The choices of its way in place, as indices.
    choices: Vec<usize>,
}

/// The most partial completions that are looked at in one state. Real units have a few.
const MAX_PARTIAL_COMPLETIONS: usize = 96;
/// Where there are more legs than this, only the landmarks are used.
const MAX_LEGS: usize = 512;

impl RouteChoices {
    /// `ways[l]` are the ways of opening leg `l`.
    #[cold]
    pub fn new(problem: &Problem, landmarks: &Landmarks, ways: &[Vec<Precondition>]) -> Self {
        let mut choices = Self {
            choices_of: Vec::new(),
            choices: Vec::new(),
            riders: Vec::new(),
            legs: ways.len(),
        };
        let tasks = (0..problem.request.tasks.len()).map(|task| {
            problem
                .actions
                .iter()
                .find(|action| action.completes == 1 << task)
                .map(|action| &action.precondition)
        });
        // The two ways of a rider are told apart below.
        let legs = ways
            .iter()
            .enumerate()
            .map(|(leg, ways)| match ways.as_slice() {
                [way] => Some(way.clone()),
                [] => None,
                _ if problem.part_legs[leg / 2].comes_off_on_bench => None,
                several => Some(Precondition::Any(several.to_vec())),
            });
        for precondition in legs.chain(tasks.map(|one| one.cloned())) {
            let indices = precondition.map(|one| choices.add_all(landmarks, &one));
            choices.choices_of.push(indices.unwrap_or_default());
        }
        for leg in 0..ways.len() {
            let rider = rider(problem, landmarks, leg).map(|(rider, precondition)| Rider {
                choices: choices.add_all(landmarks, precondition),
                ..rider
            });
            choices.riders.push(rider);
        }
        choices
    }

    /// Adds the choices that a precondition asks for, and returns their indices.
    fn add_all(&mut self, landmarks: &Landmarks, precondition: &Precondition) -> Vec<usize> {
        let choices = precondition.route_choices(self.legs, |one| landmarks.of(one));
        choices.into_iter().map(|choice| self.add(choice)).collect()
    }

    fn add(&mut self, choice: Vec<BitSet>) -> usize {
        let known = self.choices.iter().position(|known| *known == choice);
        known.unwrap_or_else(|| {
            self.choices.push(choice);
            self.choices.len() - 1
        })
    }

    /// Every completion of which no other one is a part; only the landmarks where there
    /// are too many.
    pub fn completions(&self, facts: &StateFacts) -> Vec<Completion> {
        let landmarks_only = Completion {
            legs: facts.required.clone(),
            in_place: BitSet::empty(self.legs),
        };
        let mut open = vec![landmarks_only.clone()];
        let mut complete: Vec<Completion> = Vec::new();
        let mut looked_at = 0;
        while let Some(partial) = open.pop() {
            looked_at += 1;
            if looked_at > MAX_PARTIAL_COMPLETIONS || self.legs > MAX_LEGS {
                return vec![landmarks_only];
            }
            if complete.iter().any(|known| known.is_part_of(&partial)) {
                continue;
            }
            if !self.branch(facts, &partial, &mut open) {
                complete.retain(|known| !partial.is_part_of(known));
                complete.push(partial);
            }
        }
        complete
    }

    /// Adds what the next open choice splits this into. Returns false where every choice is
    /// made.
    fn branch(&self, facts: &StateFacts, partial: &Completion, into: &mut Vec<Completion>) -> bool {
        let mut open_then = partial.legs.clone();
        open_then.union_with(facts.open_legs);
        let mut to_open = partial.legs.clone();
        to_open.subtract(facts.open_legs);
        let with = |more: &BitSet| {
            let mut next = partial.clone();
            next.legs.union_with(more);
            next
        };
        let tasks = self.choices_of.len() - self.legs;
        let tasks = (0..tasks).filter(|task| facts.has_task(*task));
        let asking = to_open.iter().chain(tasks.map(|task| self.legs + task));
        let in_place = partial.in_place.iter().filter(|leg| to_open.contains(*leg));
        let riders = in_place.filter_map(|leg| self.riders[leg].as_ref());
        let choices = asking.flat_map(|asking| &self.choices_of[asking]);
        for choice in choices.chain(riders.flat_map(|rider| &rider.choices)) {
            let routes = &self.choices[*choice];
            if !routes.iter().any(|route| route.is_subset(&open_then)) {
                into.extend(routes.iter().rev().map(with));
                return true;
            }
        }
        for leg in open_then
            .iter()
            .filter(|leg| !partial.in_place.contains(*leg))
        {
            let Some(rider) = &self.riders[leg] else {
                continue;
            };
            if !rider.carrier_legs.intersects(&open_then) {
                into.extend(rider.carriers.iter().rev().map(with));
                // A rider that is off already only goes back.
                let mut next = match facts.open_legs.contains(leg) {
                    true => partial.clone(),
                    false => with(&rider.in_place),
                };
                next.in_place.insert(leg);
                into.push(next);
                return true;
            }
        }
        false
    }
}

impl Completion {
    /// Whether a plan for the other one is never less work: it opens these legs too, and
    /// moves every rider in place that this one does.
    fn is_part_of(&self, other: &Self) -> bool {
        self.legs.is_subset(&other.legs) && self.in_place.is_subset(&other.in_place)
    }
}

/// The two ways of the rider whose leg this is, and the precondition of the way in place.
fn rider<'p>(
    problem: &'p Problem,
    landmarks: &Landmarks,
    leg: usize,
) -> Option<(Rider, &'p Precondition)> {
    let (local, is_off) = (leg / 2, !leg.is_multiple_of(2));
    let numbering = &problem.numbering;
    if !is_off || !numbering.has_two_ways(local) || problem.part_legs[local].eases {
        return None;
    }
    let op = Op::TakeOff(numbering.part(local), Way::InPlace);
    let precondition = &problem.actions[find_action(problem, op)?].precondition;
    let mut carrier_legs = BitSet::empty(2 * numbering.len());
    let carriers = numbering.carriers(local).iter().filter_map(|carrier| {
        carrier_legs.insert(2 * carrier + 1);
        landmarks.of(&Precondition::AtLeast(*carrier, PartState::Off))
    });
    let carriers = carriers.collect();
    let rider = Rider {
        in_place: landmarks.of(precondition)?,
        carriers,
        carrier_legs,
        choices: Vec::new(),
    };
    Some((rider, precondition))
}
