//! Which of two steps must come after the other in every plan.
//!
//! Only certain orders count: of two steps on different parts, neither has to come
//! first.

use super::draft::{Direction, LegName, StepList, StepPlace};
use crate::model::PartIx;

/// Whether `one` never comes before `other`: it is the same step, or always later.
pub(super) fn not_before(one: &StepPlace, other: &StepPlace) -> bool {
    place_not_before((one.list, one.nth), (other.list, other.nth))
}

/// Like [`not_before`], for positions in a list of steps.
pub(super) fn place_not_before(one: (StepList, usize), other: (StepList, usize)) -> bool {
    if one.0 == other.0 {
        return one.1 >= other.1;
    }
    let phases = phase(one.0).cmp(&phase(other.0));
    phases.is_gt() || phases.is_eq() && later_on_one_part(one.0, other.0)
}

/// Make safe; the work; prove; hand over.
const fn phase(list: StepList) -> u8 {
    match list {
        StepList::MakeSafe => 0,
        StepList::Leg(..)
        | StepList::Swap(_)
        | StepList::HandBack(..)
        | StepList::LeaveOut(_)
        | StepList::Reseat(_)
        | StepList::Inspect(_)
        | StepList::Service(_) => 1,
        StepList::Start | StepList::ProveSwap(_) | StepList::ProveReseat(_) | StepList::Prove => 2,
        StepList::HandOver => 3,
    }
}

fn later_on_one_part(one: StepList, other: StepList) -> bool {
    match (on_one_part(one), on_one_part(other)) {
        (Some((part, at)), Some((same, before))) => part == same && at > before,
        _ => false,
    }
}

/// The stage of a list on the way of one part: eased, off, on the bench, worked on, back. A
/// part that comes off on the bench is not eased first, but none of its steps comes before
/// one that eases it.
const fn on_one_part(list: StepList) -> Option<(PartIx, u8)> {
    Some(match list {
        StepList::Leg(part, LegName::Ease, Direction::Out) => (part, 0),
        StepList::Leg(_, LegName::OtherWay(_), _) => return None,
        StepList::Leg(part, LegName::TakeOff | LegName::BenchOff, Direction::Out) => (part, 1),
        StepList::Swap(part) => (part, 2),
        StepList::HandBack(part, _) => (part, 3),
        StepList::Leg(part, LegName::TakeOff | LegName::BenchOff, Direction::Back) => (part, 4),
        StepList::Leg(part, LegName::Ease, Direction::Back) => (part, 5),
        _ => return None,
    })
}
