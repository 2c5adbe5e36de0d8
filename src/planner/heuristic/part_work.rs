//! The least work of moving one part between its states.

use crate::op::{Op, Way};
use crate::problem::{PartLegs, Problem};
use crate::state::PartState;

use super::leg_profile::find_action;

/// The least work of each move of a part; `None` where there is no way.
pub struct PartWork {
    ease: Option<u64>,
    off_from_eased: Option<u64>,
    off_from_fitted: Option<u64>,
    back_from_off: Option<u64>,
    settle: Option<u64>,
    /// Out and back in place, for a rider that has two ways and no easing leg.
    in_place: Option<[u64; 2]>,
}

impl PartWork {
    pub fn new(problem: &Problem, local: usize) -> Self {
        let part = problem.numbering.part(local);
        let PartLegs {
            eases,
            comes_off_on_bench,
        } = problem.part_legs[local];
        let work = |op| work(problem, op);
        let known = problem.request.catalog.part(part);
        let in_place = || Way::all_of(known).filter(|way| *way != Way::Bench);
        let out = in_place()
            .filter_map(|way| work(Op::TakeOff(part, way)))
            .min();
        let back = in_place()
            .filter_map(|way| work(Op::PutBack(part, way)))
            .min();
        let bench_out = work(Op::TakeOff(part, Way::Bench));
        let bench_back = work(Op::PutBack(part, Way::Bench));
        let (ease, settle) = (work(Op::Ease(part)), work(Op::Settle(part)));
        let (all_out, all_back) = match eases {
            true => (plus(ease, out), plus(back, settle)),
            false => (out, back),
        };
        Self {
            ease,
            off_from_eased: least(out, plus(settle, bench_out)),
            off_from_fitted: least(all_out, bench_out),
            back_from_off: least(all_back, bench_back),
            settle: least(settle, plus(out, bench_back)),
            in_place: (comes_off_on_bench && !eases)
                .then(|| Some([out?, back?]))
                .flatten(),
        }
    }

    /// The work that is left for the part: out to `wanted`, if it is not that far yet, and
    /// back to fitted.
    pub fn left(&self, current: PartState, wanted: PartState) -> Option<u64> {
        use PartState::{Eased, Fitted, Off};
        let out = match (current, wanted) {
            (Fitted, Eased) => self.ease?,
            (Fitted, Off) => self.off_from_fitted?,
            (Eased, Off) => self.off_from_eased?,
            _ => 0,
        };
        let back = match current.max(wanted) {
            Fitted => 0,
            Eased => self.settle?,
            Off => self.back_from_off?,
        };
        Some(out + back)
    }

    /// The same for a rider that is moved in place because its carrier stays.
    pub fn left_in_place(&self, current: PartState) -> Option<u64> {
        let [out, back] = self.in_place?;
        Some(match current {
            PartState::Off => back,
            _ => out + back,
        })
    }
}

/// The least work of taking the part one leg out and one leg back, whichever they are.
pub fn reopening_work(problem: &Problem, local: usize) -> u64 {
    let least = |outward: bool| {
        let moves = problem.actions.iter().filter(|action| {
            action
                .part_move
                .is_some_and(|moved| moved.part == local && moved.opens() == outward)
        });
        moves
            .map(|action| u64::from(action.work))
            .min()
            .unwrap_or(0)
    };
    least(true) + least(false)
}

fn work(problem: &Problem, op: Op) -> Option<u64> {
    find_action(problem, op).map(|index| u64::from(problem.actions[index].work))
}

fn least(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    one.into_iter().chain(other).min()
}

fn plus(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    Some(one? + other?)
}
