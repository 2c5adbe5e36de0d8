//! Legs, each with all of its ways.

use smallvec::SmallVec;

use crate::plan::bits::Bits;
use crate::plan::problem::{Action, Certain, Holds, Node, Problem, Shape, Uses, leg};
use crate::plan::{Op, PartState, Way};

/// What is used in an operation, in order.
pub(super) type Order = SmallVec<[u16; 2]>;

/// A leg as the bound on changes sees it.
pub(super) struct Leg {
    /// Tools used on the way out, and on the way back; faces the same. Nothing,
    /// where the ways differ.
    pub out: Used,
    pub back: Used,
    /// Legs that every way out asks for by name, and every way back.
    pub direct: Bits,
    pub direct_back: Bits,
}

/// Tools and faces.
#[derive(Clone, Default)]
pub(super) struct Used {
    pub tools: Order,
    pub faces: Order,
}

impl Used {
    pub fn of(action: &Action) -> Self {
        Self {
            tools: action.tools.order.clone(),
            faces: action.faces.order.clone(),
        }
    }

    /// What all of these use alike.
    fn common(actions: &[&Action]) -> Self {
        let alike = |uses: fn(&Action) -> &Uses| match actions {
            [first, rest @ ..] if rest.iter().all(|one| uses(one).order == uses(first).order) => {
                uses(first).order.clone()
            }
            _ => Order::new(),
        };
        Self {
            tools: alike(|action| &action.tools),
            faces: alike(|action| &action.faces),
        }
    }
}

/// Whether the leg has been walked.
pub(super) fn is_walked(node: &Node, leg: usize) -> bool {
    let level = if leg.is_multiple_of(2) {
        PartState::Eased
    } else {
        PartState::Off
    };
    node.of(leg / 2) >= level
}

/// The action of an operation.
pub(super) fn find(problem: &Problem, op: Op) -> Option<usize> {
    problem.actions.iter().position(|action| action.op == op)
}

/// The ways of walking each leg out; each is all that it needs.
pub(super) fn ways(problem: &Problem) -> Vec<Vec<Holds>> {
    let mut ways = vec![Vec::new(); 2 * problem.numbers.len()];
    for action in &problem.actions {
        let Some(moved) = action.moves else { continue };
        if moved.to <= moved.from {
            continue;
        }
        let mut all = vec![action.needs.clone()];
        if moved.from == PartState::Eased {
            all.push(Holds::Own(moved.part, PartState::Eased));
        }
        ways[leg(moved.part, moved.to, &problem.shapes)].push(Holds::All(all));
    }
    ways
}

/// A leg with what its ways have in common; `None` where there is no such leg,
/// or where a part may go past it.
pub(super) fn leg_of(problem: &Problem, number: usize) -> Option<Leg> {
    let local = number / 2;
    let part = problem.numbers.part(local);
    let Shape { eases, benches } = problem.shapes[local];
    let easing = number.is_multiple_of(2);
    if easing && (!eases || benches) {
        return None;
    }
    let ops = |out: bool| match (easing, out) {
        (true, true) => vec![Op::Ease(part)],
        (true, false) => vec![Op::Settle(part)],
        (false, true) => vec![
            Op::TakeOff(part, Way::InPlace),
            Op::TakeOff(part, Way::Bench),
        ],
        (false, false) => vec![
            Op::PutBack(part, Way::InPlace),
            Op::PutBack(part, Way::Bench),
        ],
    };
    let actions = |out: bool| -> Vec<&Action> {
        let found = ops(out).into_iter().filter_map(|op| find(problem, op));
        found.map(|at| &problem.actions[at]).collect()
    };
    let named = |actions: &[&Action]| {
        let sets = actions
            .iter()
            .filter_map(|action| action.needs.certain(&problem.shapes));
        let both = sets.reduce(|mut set, other| {
            set.meet(&other);
            set
        });
        let mut set = both.unwrap_or_else(|| Bits::none(2 * problem.shapes.len()));
        if !easing && eases && !benches {
            set.insert(number - 1);
        }
        set
    };
    let (out, back) = (actions(true), actions(false));
    (!out.is_empty()).then(|| Leg {
        direct: named(&out),
        direct_back: named(&back),
        out: Used::common(&out),
        back: Used::common(&back),
    })
}

/// Legs in an order in which each comes after those that it is certain to need:
/// by the number of those.
pub(super) fn ranked(certain: &Certain, legs: usize) -> Vec<usize> {
    let mut rank: Vec<usize> = (0..legs).filter(|leg| certain.is_reachable(*leg)).collect();
    rank.sort_by_key(|leg| (certain.of_leg(*leg).iter().count(), *leg));
    rank
}
