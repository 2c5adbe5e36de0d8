//! Services: the operations that each comes before or after exist, and no two services
//! come before each other.
//!
//! A part is taken off, then swapped, then put back. The catalog adds further orders.
//! An operation that would come before itself is a circle.

use super::draft::Draft;
use super::fault::{FaultKind, Report};
use super::parts::id;
use crate::model::{Catalog, OpIx, PartIx};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    for place in &draft.orders {
        let (part, there) = match place.other {
            OpIx::TakeOff(part) | OpIx::PutBack(part) => {
                let ordered = catalog.part(part);
                (
                    part,
                    ordered.take_off.is_some() || ordered.bench_off.is_some(),
                )
            }
            OpIx::Swap(part) => (part, catalog.part(part).swap.is_some()),
            OpIx::Service(_) => continue,
        };
        if !there {
            report.add(
                FaultKind::NoSuchOperation,
                &place.path,
                tr!("“{}” is never {}.", id(catalog, part), past(place.other)),
                tr!("Name an operation that this part has, or another part."),
            );
        }
    }
    circles(draft, report);
}

fn past(operation: OpIx) -> String {
    match operation {
        OpIx::TakeOff(_) => tr!("taken off"),
        OpIx::PutBack(_) => tr!("put back"),
        OpIx::Swap(_) => tr!("swapped"),
        OpIx::Service(_) => tr!("done"),
    }
}

/// Operations in order: the first of each pair comes before the second.
fn pairs(draft: &Draft) -> Vec<(OpIx, OpIx)> {
    let mut pairs: Vec<(OpIx, OpIx)> = Vec::new();
    for place in &draft.orders {
        let service = OpIx::Service(place.service);
        pairs.push(match place.before {
            true => (service, place.other),
            false => (place.other, service),
        });
        if let Some(part) = part_of(place.other) {
            pairs.push((OpIx::TakeOff(part), OpIx::Swap(part)));
            pairs.push((OpIx::Swap(part), OpIx::PutBack(part)));
        }
    }
    pairs
}

const fn part_of(operation: OpIx) -> Option<PartIx> {
    match operation {
        OpIx::TakeOff(part) | OpIx::PutBack(part) | OpIx::Swap(part) => Some(part),
        OpIx::Service(_) => None,
    }
}

fn circles(draft: &Draft, report: &mut Report) {
    let pairs = pairs(draft);
    let mut reported: Vec<OpIx> = Vec::new();
    for place in &draft.orders {
        let service = OpIx::Service(place.service);
        if reported.contains(&service) {
            continue;
        }
        let (first, second) = match place.before {
            true => (service, place.other),
            false => (place.other, service),
        };
        // Back from the later to the earlier of this pair.
        let Some(path) = shortest_path(&pairs, second, first) else {
            continue;
        };
        let circle: Vec<String> = std::iter::once(first)
            .chain(path.iter().copied())
            .map(|operation| describe_operation(&draft.catalog, operation))
            .collect();
        report.add(
            FaultKind::OrderInCircle,
            &place.path,
            tr!("The order is circular: {}.", circle.join(" → ")),
            tr!("Remove one of these “before” or “after” entries."),
        );
        reported.extend(path);
    }
}

/// A shortest way along the pairs.
fn shortest_path(pairs: &[(OpIx, OpIx)], from: OpIx, to: OpIx) -> Option<Vec<OpIx>> {
    let mut ways = vec![vec![from]];
    let mut seen = vec![from];
    let mut nth = 0;
    while let Some(way) = ways.get(nth).cloned() {
        nth += 1;
        let end = way.last().copied().unwrap_or(from);
        if end == to {
            return Some(way);
        }
        for (_, next) in pairs.iter().filter(|(first, _)| *first == end) {
            if !seen.contains(next) {
                seen.push(*next);
                let mut longer = way.clone();
                longer.push(*next);
                ways.push(longer);
            }
        }
    }
    None
}

fn describe_operation(catalog: &Catalog, operation: OpIx) -> String {
    match operation {
        OpIx::TakeOff(part) => tr!("{} off", id(catalog, part)),
        OpIx::Swap(part) => tr!("{} swapped", id(catalog, part)),
        OpIx::PutBack(part) => tr!("{} back", id(catalog, part)),
        OpIx::Service(service) => catalog.service(service).entry.id.to_string(),
    }
}
