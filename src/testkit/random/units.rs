use lidoff_catalog::check::{Fault, FaultKind, check};
use lidoff_catalog::format::{CatalogFile, Step};
use lidoff_catalog::model::Catalog;
use proptest::collection::vec;
use proptest::prelude::*;

use crate::builder;
use crate::byte_draw::ByteDraw;

use super::unit_builder::{UnitBuilder, WAITS};
use super::unit_features::UnitFeatures;

/// The bytes that one part is drawn from.
const GENES: usize = 96;

pub fn units(with: UnitFeatures) -> impl Strategy<Value = Catalog> {
    files(with).prop_filter_map("the checker refuses it", move |file| match check(file) {
        Ok(catalog) => Some(catalog),
        Err(faults) if with.tangled || faults.errors().all(is_an_idle_condition) => None,
        Err(faults) => panic!("a random unit that should be sound is refused:\n{faults}"),
    })
}

/// A condition like "g0 and g1", where one excludes the other.
fn is_an_idle_condition(fault: &Fault) -> bool {
    fault.kind == FaultKind::NeverHolds
}

pub fn files(with: UnitFeatures) -> impl Strategy<Value = CatalogFile> {
    let (fewest, most) = with.parts;
    let parts = vec(vec(any::<u8>(), GENES), fewest..=most);
    (vec(any::<u8>(), GENES), parts).prop_map(move |(head, parts)| make(with, &head, &parts))
}

fn make(with: UnitFeatures, head: &[u8], genes: &[Vec<u8>]) -> CatalogFile {
    let mut draw = ByteDraw::new(head);
    let mut file = builder::unit("random");
    if with.conditions {
        file.options = ["o0", "o1"]
            .map(|id| builder::option(id, None, true))
            .into();
        file.questions = vec![builder::question("q0", &["a0", "a1"])];
        if with.negation {
            file.options
                .push(builder::option("g0", Some("group"), true));
            file.options
                .push(builder::option("g1", Some("group"), false));
        }
    }
    let waits = WAITS.map(|_| 1 + draw.below(60) as u32);
    let mut unit = UnitBuilder {
        with,
        parts: Vec::new(),
        waits,
    };
    for genes in genes {
        let next = unit.part(&mut ByteDraw::new(genes));
        unit.parts.push(next);
    }
    unit.move_over(&mut draw);
    file.services = unit.services(&mut draw);
    if with.tangled {
        unit.tangle(&mut draw);
    }
    if with.sources {
        unit.add_sources(&mut file, &mut draw);
    }
    file.parts = unit.parts.into_iter().map(|built| built.part).collect();
    settle_waits(&mut file, waits);
    file
}

/// A catalog must not start a wait that no step comes after, nor have a step come after a wait
/// that starts later. So every wait that some step comes after also starts in making safe,
/// which no planner sees.
fn settle_waits(file: &mut CatalogFile, seconds: [u32; 2]) {
    let mut awaited = Vec::new();
    each_step(file, |step| awaited.extend(step.after_wait.clone()));
    each_step(file, |step| {
        step.starts_wait.take_if(|wait| !awaited.contains(&wait.id));
    });
    for (wait, seconds) in WAITS.into_iter().zip(seconds) {
        if awaited.contains(&wait.into()) {
            let mut step = builder::step(&format!("begin-{wait}"), 1.0);
            step.starts_wait = Some(builder::wait(wait, seconds));
            file.make_safe.push(step);
        }
    }
}

fn each_step(file: &mut CatalogFile, mut see: impl FnMut(&mut Step)) {
    for part in &mut file.parts {
        let legs = [&mut part.ease, &mut part.take_off, &mut part.bench_off];
        for leg in legs.into_iter().flatten().chain(&mut part.other_ways) {
            leg.out.iter_mut().chain(&mut leg.back).for_each(&mut see);
        }
        if let Some(swap) = &mut part.swap {
            let pieces = swap.hand_backs.iter_mut();
            let pieces = pieces.flat_map(|piece| &mut piece.steps);
            swap.steps.iter_mut().chain(pieces).for_each(&mut see);
        }
        if let Some(how) = &mut part.reseat {
            how.steps.iter_mut().for_each(&mut see);
        }
        if let Some(how) = &mut part.inspect {
            how.steps.iter_mut().for_each(&mut see);
        }
    }
    let services = file.services.iter_mut();
    services
        .flat_map(|service| &mut service.steps)
        .for_each(&mut see);
}
