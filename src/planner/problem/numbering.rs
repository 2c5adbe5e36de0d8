//! Which parts matter to a request, numbered from 0 in catalog order.

use crate::{PartState, Request, Task};
use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{Catalog, OpIx, PartIx, ResolvedFormula};
use lidoff_catalog::setup::Setup;

/// The parts that matter: those that some route to some task goes through, those
/// that are open now, and whatever their ways out and back go through.
#[derive(Clone, Debug)]
pub struct Numbering {
    local: Vec<Option<usize>>,
    parts: Vec<PartIx>,
    carriers: Vec<Vec<usize>>,
    two_ways: Vec<bool>,
}

impl Numbering {
    pub fn new(request: &Request) -> Self {
        let catalog = request.catalog;
        let mut gather = Gather {
            catalog,
            setup: request.setup,
            seen: vec![false; catalog.parts().len()],
            todo: Vec::new(),
        };
        for task in request.tasks {
            gather.task(*task);
        }
        for (part, _) in catalog.parts() {
            if request.from.of(part) != PartState::Fitted {
                gather.part(part);
            }
        }
        gather.close();
        let parts: Vec<PartIx> = catalog
            .parts()
            .map(|(at, _)| at)
            .filter(|at| gather.seen[at.index()])
            .collect();
        let mut local = vec![None; catalog.parts().len()];
        for (number, part) in parts.iter().enumerate() {
            local[part.index()] = Some(number);
        }
        let both = |part: &PartIx| {
            let part = catalog.part(*part);
            part.take_off.is_some() && part.bench_off.is_some()
        };
        let two_ways = parts.iter().map(both).collect();
        let carriers = parts
            .iter()
            .map(|part| carriers(catalog, &local, *part))
            .collect();
        Self {
            local,
            parts,
            carriers,
            two_ways,
        }
    }

    /// The part's number, if it matters and is there.
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
        self.two_ways[local]
    }

    /// What it rides on, what that rides on, and so on.
    pub fn carriers(&self, local: usize) -> &[usize] {
        &self.carriers[local]
    }
}

fn carriers(catalog: &Catalog, local: &[Option<usize>], part: PartIx) -> Vec<usize> {
    let mut found = Vec::new();
    let mut at = part;
    while let Some(carrier) = catalog.part(at).rides_on {
        if found.len() > catalog.parts().len() {
            break;
        }
        found.extend(local[carrier.index()]);
        at = carrier;
    }
    found
}

struct Gather<'a> {
    catalog: &'a Catalog,
    setup: &'a Setup,
    seen: Vec<bool>,
    todo: Vec<PartIx>,
}

impl Gather<'_> {
    fn task(&mut self, task: Task) {
        match task {
            Task::Replace(part) => {
                self.part(part);
                if let Some(swap) = &self.catalog.part(part).swap {
                    for rider in &swap.moves_over {
                        self.part(*rider);
                    }
                }
            }
            Task::Reseat(part) => self.part(part),
            Task::Inspect(part) => {
                if let Some(inspect) = &self.catalog.part(part).inspect {
                    self.formula(&inspect.needs);
                }
            }
            Task::Serve(service) => {
                let service = self.catalog.service(service);
                self.formula(&service.needs);
                for op in service.before.iter().chain(&service.after) {
                    match op {
                        OpIx::TakeOff(part) | OpIx::PutBack(part) | OpIx::Swap(part) => {
                            self.part(*part);
                        }
                        OpIx::Service(_) => {}
                    }
                }
            }
        }
    }

    fn part(&mut self, part: PartIx) {
        if self.setup.holds(&self.catalog.part(part).when) && !self.seen[part.index()] {
            self.seen[part.index()] = true;
            self.todo.push(part);
        }
    }

    fn formula(&mut self, needs: &ResolvedFormula) {
        match needs {
            Formula::All(some) | Formula::Any(some) => {
                for one in some {
                    self.formula(one);
                }
            }
            Formula::When { condition, then } => {
                if self.setup.holds(condition) {
                    self.formula(then);
                }
            }
            Formula::Eased(part)
            | Formula::Off(part)
            | Formula::Clear(part)
            | Formula::InPlace(part) => self.part(*part),
        }
    }

    fn close(&mut self) {
        while let Some(part) = self.todo.pop() {
            let part = self.catalog.part(part);
            if let Some(carrier) = part.rides_on {
                self.part(carrier);
            }
            for leg in [&part.ease, &part.take_off, &part.bench_off]
                .into_iter()
                .flatten()
            {
                self.formula(&leg.needs);
                self.formula(&leg.refit_needs);
            }
        }
    }
}
