//! The least work of moving one part between its states.

use crate::problem::{Problem, Shape};
use crate::{Op, PartState, Way};

use super::legs::find;

/// The cheapest work of moving a part between its states; `None` where there is
/// no way.
pub struct PartCosts {
    ease: Option<u64>,
    off_from_eased: Option<u64>,
    off_from_fitted: Option<u64>,
    back_from_off: Option<u64>,
    settle: Option<u64>,
    /// Work out and back in place, of a rider that has two ways and no easing.
    in_place: Option<[u64; 2]>,
}

impl PartCosts {
    /// The work that is left for this part, so far open and so far wanted.
    pub fn left(&self, have: PartState, want: PartState) -> Option<u64> {
        use PartState::{Eased, Fitted, Off};
        let out = match (have, want) {
            (Fitted, Eased) => self.ease?,
            (Fitted, Off) => self.off_from_fitted?,
            (Eased, Off) => self.off_from_eased?,
            _ => 0,
        };
        let back = match have.max(want) {
            Fitted => 0,
            Eased => self.settle?,
            Off => self.back_from_off?,
        };
        Some(out + back)
    }

    /// The same of a rider whose carrier stays, as it is now: it comes off in place,
    /// and goes back so.
    pub fn in_place(&self, have: PartState) -> Option<u64> {
        let [out, back] = self.in_place?;
        Some(match have {
            PartState::Off => back,
            _ => out + back,
        })
    }
}

fn work(problem: &Problem, op: Op) -> Option<u64> {
    find(problem, op).map(|at| u64::from(problem.actions[at].work))
}

/// The least work of one way of the part out and one back, whichever they are.
pub fn opening_again(problem: &Problem, local: usize) -> u64 {
    let least = |outward: bool| {
        let ways = problem.actions.iter().filter(|action| {
            action
                .moves
                .is_some_and(|moved| moved.part == local && (moved.to > moved.from) == outward)
        });
        ways.map(|action| u64::from(action.work)).min().unwrap_or(0)
    };
    least(true) + least(false)
}

fn least(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    one.into_iter().chain(other).min()
}

fn plus(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    Some(one? + other?)
}

/// What the part costs.
pub fn part_costs(problem: &Problem, local: usize) -> PartCosts {
    let part = problem.numbers.part(local);
    let Shape { eases, benches } = problem.shapes[local];
    let of = |op| work(problem, op);
    let out = of(Op::TakeOff(part, Way::InPlace));
    let back = of(Op::PutBack(part, Way::InPlace));
    let (bench_out, bench_back) = (
        of(Op::TakeOff(part, Way::Bench)),
        of(Op::PutBack(part, Way::Bench)),
    );
    let (ease, settle) = (of(Op::Ease(part)), of(Op::Settle(part)));
    let (all_out, all_back) = match eases {
        true => (plus(ease, out), plus(back, settle)),
        false => (out, back),
    };
    PartCosts {
        ease,
        off_from_eased: least(out, plus(settle, bench_out)),
        off_from_fitted: least(all_out, bench_out),
        back_from_off: least(all_back, bench_back),
        settle: least(settle, plus(out, bench_back)),
        in_place: (benches && !eases).then(|| Some([out?, back?])).flatten(),
    }
}
