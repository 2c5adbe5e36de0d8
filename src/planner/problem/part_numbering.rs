//! The relevant parts of a request, numbered from 0 in catalog order.

use crate::request::Request;
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
        Self {
            local,
            parts,
            carriers,
            has_two_ways,
            is_source,
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

    /// Its carrier, the carrier of that, and so on.
    pub fn carriers(&self, local: usize) -> &[usize] {
        &self.carriers[local]
    }
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
