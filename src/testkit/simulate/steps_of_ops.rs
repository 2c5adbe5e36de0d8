//! The steps of an operation on this unit, read from the catalog here and not taken from the
//! planner.

use lidoff_catalog::model::{Catalog, Leg, PartIx, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Op, PartState, Way};

use super::violation::Violation;

/// The leg for this workplace, if the catalog has one.
pub(super) fn leg_at(catalog: &Catalog, part: PartIx, way: Way) -> Option<&Leg> {
    let part = catalog.part(part);
    match way {
        Way::InPlace => part.take_off.as_ref(),
        Way::Other(nth) => part.other_ways.get(usize::from(nth)),
        Way::Bench => part.bench_off.as_ref(),
    }
}

/// The steps of an operation, in order.
pub(super) fn steps_of(catalog: &Catalog, setup: &Setup, op: Op) -> Result<Vec<StepIx>, Violation> {
    let written: Vec<&[StepIx]> = match op {
        Op::Ease(part) => vec![&easing(catalog, part)?.out],
        Op::Settle(part) => vec![&easing(catalog, part)?.back],
        Op::TakeOff(part, way) => vec![&off(catalog, part, way)?.out],
        Op::PutBack(part, way) => vec![&off(catalog, part, way)?.back],
        Op::Swap(part) => {
            let swap = catalog
                .part(part)
                .swap
                .as_ref()
                .ok_or(Violation::NotOffered)?;
            let mut written: Vec<&[StepIx]> = vec![&swap.steps];
            for piece in &swap.hand_backs {
                if setup.holds(&piece.when) {
                    written.push(&piece.steps);
                }
            }
            written
        }
        Op::Reseat(part) => {
            let how = catalog.part(part).reseat.as_ref();
            vec![&how.ok_or(Violation::NotOffered)?.steps]
        }
        Op::Inspect(part) => {
            let how = catalog.part(part).inspect.as_ref();
            vec![&how.ok_or(Violation::NotOffered)?.steps]
        }
        Op::LeaveOut(part) => vec![&catalog.part(part).leave_out],
        Op::Serve(service) => vec![&catalog.service(service).steps],
    };
    Ok(on_this_unit(catalog, setup, written))
}

/// The steps that must have been done for a part to be as far open as it is. Where a part can
/// have come off in place or on the bench, the way in place is assumed.
pub(super) fn steps_out(
    catalog: &Catalog,
    setup: &Setup,
    part: PartIx,
    state: PartState,
) -> Vec<StepIx> {
    let known = catalog.part(part);
    let mut written: Vec<&[StepIx]> = Vec::new();
    if state == PartState::Off && known.take_off.is_none() {
        written.extend(known.bench_off.as_ref().map(|leg| leg.out.as_slice()));
    } else {
        if state >= PartState::Eased {
            written.extend(known.ease.as_ref().map(|leg| leg.out.as_slice()));
        }
        if state == PartState::Off {
            written.extend(known.take_off.as_ref().map(|leg| leg.out.as_slice()));
        }
    }
    on_this_unit(catalog, setup, written)
}

fn easing(catalog: &Catalog, part: PartIx) -> Result<&Leg, Violation> {
    catalog
        .part(part)
        .ease
        .as_ref()
        .ok_or(Violation::NotOffered)
}

fn off(catalog: &Catalog, part: PartIx, way: Way) -> Result<&Leg, Violation> {
    leg_at(catalog, part, way).ok_or(Violation::NotOffered)
}

fn on_this_unit(catalog: &Catalog, setup: &Setup, written: Vec<&[StepIx]>) -> Vec<StepIx> {
    let all = written.into_iter().flatten().copied();
    all.filter(|step| setup.holds(&catalog.step(*step).when))
        .collect()
}
