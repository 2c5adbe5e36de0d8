//! Legs, each with all of its ways.

use smallvec::{SmallVec, smallvec};

use crate::bits::Bits;
use crate::problem::{Action, Holds, Problem, Shape, leg};
use crate::{Op, PartState, Way};

/// What is used in an operation, in order.
pub type Order = SmallVec<[u16; 2]>;

/// A leg as the bound on changes sees it.
pub struct Leg {
    /// Whichever way it is walked and, of a rider that has two ways, in place.
    pub ways: SmallVec<[Walk; 2]>,
    /// Tasks that come before the way out, and before the way back, a bit each.
    pub out_after: u64,
    pub back_after: u64,
}

/// One way or several ways of walking a leg.
pub struct Walk {
    /// What each way out uses, and each way back.
    pub out: Vec<Used>,
    pub back: Vec<Used>,
    /// Legs that every way out asks for by name, and every way back.
    pub direct: Bits,
    pub direct_back: Bits,
    /// The same of each way, where there are several.
    pub each: Vec<Bits>,
    pub each_back: Vec<Bits>,
    /// What must stay during every way out, and during every way back: legs that
    /// must not be walked then, each part by itself.
    pub stays_out: Vec<Bits>,
    pub stays_back: Vec<Bits>,
    /// Where there is one way: its choices.
    pub choices_out: Vec<Choice>,
    pub choices_back: Vec<Choice>,
}

/// One of several routes must be open: the legs that each asks for by name.
pub type Choice = Vec<Bits>;

/// Tools and faces.
#[derive(Clone, Default)]
pub struct Used {
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
}

/// The action of an operation.
pub fn find(problem: &Problem, op: Op) -> Option<usize> {
    problem.actions.iter().position(|action| action.op == op)
}

/// The ways of walking each leg out; each is all that it needs.
pub fn ways(problem: &Problem) -> Vec<Vec<Holds>> {
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
pub fn leg_of(problem: &Problem, number: usize) -> Option<Leg> {
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
    let each = |actions: &[&Action]| -> Vec<Bits> {
        let several = actions.iter().filter(|_| actions.len() > 1);
        several.map(|action| named(&[*action])).collect()
    };
    let of_one = |actions: &[&Action]| match actions {
        [action] => choices(action, &problem.shapes),
        _ => Vec::new(),
    };
    let walk = |out: &[&Action], back: &[&Action]| Walk {
        stays_out: stays(out, 2 * problem.shapes.len()),
        stays_back: stays(back, 2 * problem.shapes.len()),
        each: each(out),
        each_back: each(back),
        direct: named(out),
        direct_back: named(back),
        choices_out: of_one(out),
        choices_back: of_one(back),
        out: out.iter().map(|action| Used::of(action)).collect(),
        back: back.iter().map(|action| Used::of(action)).collect(),
    };
    let (out, back) = (actions(true), actions(false));
    let mut ways: SmallVec<[Walk; 2]> = smallvec![walk(&out, &back)];
    if let ([out, _], [back, _]) = (out.as_slice(), back.as_slice()) {
        ways.push(walk(&[*out], &[*back]));
    }
    let after = |actions: &[&Action]| actions.iter().fold(!0, |all, one| all & one.blocked_by);
    (!out.is_empty()).then(|| Leg {
        ways,
        out_after: after(&out),
        back_after: if back.is_empty() { 0 } else { after(&back) },
    })
}

/// What it asks for one of, by name.
pub fn choices(action: &Action, shapes: &[Shape]) -> Vec<Choice> {
    let named = |one: &Holds| one.certain(shapes);
    action.needs.choices_of(2 * shapes.len(), named)
}

/// What every one of these operations wants to stay: the legs, of so many in
/// all, that must not be walked meanwhile; each part by itself.
pub fn stays(actions: &[&Action], legs: usize) -> Vec<Bits> {
    let of = |action: &Action| {
        let mut found = Vec::new();
        action.needs.keeps(legs, &mut found);
        found
    };
    let all = actions.iter().map(|action| of(action));
    let common = all.reduce(|mut found, others| {
        found.retain(|one| others.contains(one));
        found
    });
    common.unwrap_or_default()
}
