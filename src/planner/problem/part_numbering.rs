//! The relevant parts of a request, numbered from 0 in catalog order.

use crate::request::{Request, Task};
use lidoff_catalog::model::{Catalog, PartIx};

use super::relevant_parts::relevant_parts;

/// Local numbers of the relevant parts.
#[derive(Clone, Debug)]
pub struct PartNumbering {
    local: Vec<Option<usize>>,
    parts: Vec<PartIx>,
    carriers: Vec<Vec<usize>>,
    has_two_ways: Vec<bool>,
    is_source: Vec<bool>,
    leaving: Vec<u64>,
    is_out_of_use: bool,
}

impl PartNumbering {
    pub fn new(request: &Request) -> Self {
        let catalog = request.catalog;
        let parts = relevant_parts(request);
        let mut local = vec![None; catalog.parts().len()];
        for (number, part) in parts.iter().enumerate() {
            local[part.index()] = Some(number);
        }
        let has_two_ways = |part: &PartIx| {
            let part = catalog.part(*part);
            part.take_off.is_some() && part.bench_off.is_some()
        };
        let has_two_ways = parts.iter().map(has_two_ways).collect();
        let is_source = parts.iter().map(|part| catalog.part(*part).is_source());
        let is_source = is_source.collect();
        let carriers = parts
            .iter()
            .map(|part| carriers(catalog, &local, *part))
            .collect();
        let leaving = parts.iter().map(|part| leaving(request, *part)).collect();
        let mut tasks = request.tasks.iter();
        let is_out_of_use =
            request.setup.is_out_of_use() || tasks.any(|task| matches!(task, Task::LeaveOut(_)));
        Self {
            local,
            parts,
            carriers,
            has_two_ways,
            is_source,
            leaving,
            is_out_of_use,
        }
    }

    /// The part's number, if it is relevant and fitted.
    pub fn local(&self, part: PartIx) -> Option<usize> {
        self.local[part.index()]
    }

    pub fn part(&self, local: usize) -> PartIx {
        self.parts[local]
    }

    pub fn len(&self) -> usize {
        self.parts.len()
    }

    /// Whether it comes off both in place and on the bench.
    pub fn has_two_ways(&self, local: usize) -> bool {
        self.has_two_ways[local]
    }

    /// The parts that are not energy sources.
    pub fn real_parts(&self) -> impl Iterator<Item = usize> + '_ {
        (0..self.len()).filter(|local| !self.is_source[*local])
    }

    pub fn is_source(&self, local: usize) -> bool {
        self.is_source[local]
    }

    /// The tasks that leave out this part, or a carrier of it, as bits.
    pub fn leaving(&self, local: usize) -> u64 {
        self.leaving[local]
    }

    /// Whether the unit is closed without some part, so that nothing is made live again.
    pub fn is_out_of_use(&self) -> bool {
        self.is_out_of_use
    }

    /// Whether a plan need not put this back: a part that is left out, and every source of a
    /// unit that goes out of use.
    pub fn stays_off(&self, local: usize) -> bool {
        self.leaving[local] != 0 || (self.is_out_of_use && self.is_source[local])
    }

    /// Its carrier, the carrier of that, and so on.
    pub fn carriers(&self, local: usize) -> &[usize] {
        &self.carriers[local]
    }
}

fn leaving(request: &Request, part: PartIx) -> u64 {
    let leaves_it = |task: &Task| match task {
        Task::LeaveOut(left) => is_or_rides_on(request.catalog, part, *left),
        _ => false,
    };
    let tasks = request.tasks.iter().enumerate();
    tasks
        .filter(|(_, task)| leaves_it(task))
        .fold(0, |bits, (position, _)| bits | 1 << position)
}

/// Whether the part is the other one, or comes away with it.
pub fn is_or_rides_on(catalog: &Catalog, part: PartIx, other: PartIx) -> bool {
    let carrier = |part: &PartIx| catalog.part(*part).rides_on;
    let mut chain = std::iter::successors(Some(part), carrier).take(catalog.parts().len());
    chain.any(|one| one == other)
}

fn carriers(catalog: &Catalog, local: &[Option<usize>], part: PartIx) -> Vec<usize> {
    let mut carriers = Vec::new();
    let mut rider = part;
    while let Some(carrier) = catalog.part(rider).rides_on {
        if carriers.len() > catalog.parts().len() {
            break;
        }
        carriers.extend(local[carrier.index()]);
        rider = carrier;
    }
    carriers
}
