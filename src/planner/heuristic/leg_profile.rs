//! A leg with all ways of opening and closing it.

use smallvec::{SmallVec, smallvec};

use crate::bit_set::BitSet;
use crate::op::{Op, Way};
use crate::problem::{Action, PartLegs, Precondition, Problem, ResourceSequence, leg_of};
use crate::state::PartState;

/// A leg as the bound on tool and face changes sees it.
pub struct LegProfile {
    /// All ways together and, for a rider with two ways, the way in place by itself.
    pub variants: SmallVec<[LegVariant; 2]>,
    /// Tasks that come before the way out, and before the way back, one bit each.
    pub out_after: u64,
    pub back_after: u64,
}

/// One way of a leg, or several ways that are not told apart.
pub struct LegVariant {
    /// What each way out uses, and each way back.
    pub out: Vec<ResourcesUsed>,
    pub back: Vec<ResourcesUsed>,
    /// Legs that every way out names, and every way back.
    pub named_out: BitSet,
    pub named_back: BitSet,
    /// The same for each way, where there are several.
    pub each_named_out: Vec<BitSet>,
    pub each_named_back: Vec<BitSet>,
    /// Legs that must not be open during every way out, and every way back: one set for
    /// each part that must remain.
    pub closed_out: Vec<BitSet>,
    pub closed_back: Vec<BitSet>,
    /// Where there is only one way: its choices.
    pub choices_out: Vec<RouteChoice>,
    pub choices_back: Vec<RouteChoice>,
}

/// One of several routes must be open: the legs that each of them names.
pub type RouteChoice = Vec<BitSet>;

/// The tools and faces that one way of an operation uses, in order.
#[derive(Clone, Default)]
pub struct ResourcesUsed {
    pub tools: ResourceSequence,
    pub faces: ResourceSequence,
}

impl ResourcesUsed {
    pub fn of(action: &Action) -> Self {
        Self {
            tools: action.tools.sequence.clone(),
            faces: action.faces.sequence.clone(),
        }
    }
}

/// The index of the action that performs this operation.
pub fn find_action(problem: &Problem, op: Op) -> Option<usize> {
    problem.actions.iter().position(|action| action.op == op)
}

/// For each leg the preconditions of its ways of opening it.
pub fn ways_to_open(problem: &Problem) -> Vec<Vec<Precondition>> {
    let mut ways = vec![Vec::new(); 2 * problem.numbering.len()];
    for action in &problem.actions {
        let Some(moved) = action.part_move else {
            continue;
        };
        if !moved.opens() {
            continue;
        }
        let mut all = vec![action.precondition.clone()];
        if moved.from == PartState::Eased {
            all.push(Precondition::AtLeast(moved.part, PartState::Eased));
        }
        ways[leg_of(moved.part, moved.to, &problem.part_legs)].push(Precondition::All(all));
    }
    ways
}

/// The profile of a leg; `None` where the part has no such leg, or may skip it.
pub fn leg_profile(problem: &Problem, leg: usize) -> Option<LegProfile> {
    let out = actions_of_leg(problem, leg, true)?;
    let back = actions_of_leg(problem, leg, false)?;
    let mut variants: SmallVec<[LegVariant; 2]> = smallvec![variant(problem, leg, &out, &back)];
    let in_place = |actions: &[&'_ Action]| -> Vec<usize> {
        let positions = 0..actions.len();
        positions.filter(|at| !is_on_bench(actions[*at])).collect()
    };
    let (ways_out, ways_back) = (in_place(&out), in_place(&back));
    let has_bench = ways_out.len() < out.len() && ways_back.len() < back.len();
    if has_bench && !ways_out.is_empty() && !ways_back.is_empty() {
        let out: Vec<&Action> = ways_out.iter().map(|at| out[*at]).collect();
        let back: Vec<&Action> = ways_back.iter().map(|at| back[*at]).collect();
        variants.push(variant(problem, leg, &out, &back));
    }
    let after = |actions: &[&Action]| {
        actions
            .iter()
            .fold(!0, |common, action| common & action.after_tasks)
    };
    (!out.is_empty()).then(|| LegProfile {
        variants,
        out_after: after(&out),
        back_after: if back.is_empty() { 0 } else { after(&back) },
    })
}

/// The ways out of a leg, or its ways back, the one in place first. `None` where the part
/// may skip the leg.
fn actions_of_leg<'p>(problem: &'p Problem, leg: usize, is_out: bool) -> Option<Vec<&'p Action>> {
    let local = leg / 2;
    let part = problem.numbering.part(local);
    let PartLegs {
        eases,
        comes_off_on_bench,
    } = problem.part_legs[local];
    let is_easing = leg.is_multiple_of(2);
    if is_easing && (!eases || comes_off_on_bench) {
        return None;
    }
    let ways = Way::all_of(problem.request.catalog.part(part));
    let ops: Vec<Op> = match (is_easing, is_out) {
        (true, true) => vec![Op::Ease(part)],
        (true, false) => vec![Op::Settle(part)],
        (false, true) => ways.map(|way| Op::TakeOff(part, way)).collect(),
        (false, false) => ways.map(|way| Op::PutBack(part, way)).collect(),
    };
    let found = ops.into_iter().filter_map(|op| find_action(problem, op));
    Some(found.map(|index| &problem.actions[index]).collect())
}

const fn is_on_bench(action: &Action) -> bool {
    matches!(
        action.op,
        Op::TakeOff(_, Way::Bench) | Op::PutBack(_, Way::Bench)
    )
}

fn variant(problem: &Problem, leg: usize, out: &[&Action], back: &[&Action]) -> LegVariant {
    let legs = 2 * problem.part_legs.len();
    let each_named = |actions: &[&Action]| -> Vec<BitSet> {
        let several = actions.iter().filter(|_| actions.len() > 1);
        several
            .map(|action| named_by_all(problem, leg, &[*action]))
            .collect()
    };
    let choices_of_only = |actions: &[&Action]| match actions {
        [action] => choices(action, &problem.part_legs),
        _ => Vec::new(),
    };
    LegVariant {
        closed_out: closed_during_all(out, legs),
        closed_back: closed_during_all(back, legs),
        each_named_out: each_named(out),
        each_named_back: each_named(back),
        named_out: named_by_all(problem, leg, out),
        named_back: named_by_all(problem, leg, back),
        choices_out: choices_of_only(out),
        choices_back: choices_of_only(back),
        out: out.iter().map(|action| ResourcesUsed::of(action)).collect(),
        back: back
            .iter()
            .map(|action| ResourcesUsed::of(action))
            .collect(),
    }
}

/// The legs that each of these actions of a leg names.
fn named_by_all(problem: &Problem, leg: usize, actions: &[&Action]) -> BitSet {
    let sets = actions
        .iter()
        .filter_map(|action| action.precondition.named_legs(&problem.part_legs));
    let common = sets.reduce(|mut set, other| {
        set.intersect_with(&other);
        set
    });
    let mut set = common.unwrap_or_else(|| BitSet::empty(2 * problem.part_legs.len()));
    let PartLegs {
        eases,
        comes_off_on_bench,
    } = problem.part_legs[leg / 2];
    let is_easing = leg.is_multiple_of(2);
    if !is_easing && eases && !comes_off_on_bench {
        set.insert(leg - 1);
    }
    set
}

/// The choices of routes that an action asks for, by the legs that they name.
pub fn choices(action: &Action, part_legs: &[PartLegs]) -> Vec<RouteChoice> {
    let named = |one: &Precondition| one.named_legs(part_legs);
    action
        .precondition
        .route_choices(2 * part_legs.len(), named)
}

/// The legs that must not be open during any of these actions: one set of `legs` legs for
/// each part that must remain.
pub fn closed_during_all(actions: &[&Action], legs: usize) -> Vec<BitSet> {
    let closed_during = |action: &Action| {
        let mut closed = Vec::new();
        action.precondition.collect_closed_legs(legs, &mut closed);
        closed
    };
    let all = actions.iter().map(|action| closed_during(action));
    let common = all.reduce(|mut closed, others| {
        closed.retain(|one| others.contains(one));
        closed
    });
    common.unwrap_or_default()
}
