//! Which parts matter to a request: those on some route to a task, those that are open
//! now, and, transitively, whatever their ways out and back name.

use crate::request::{Request, Task};
use crate::state::PartState;
use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{Catalog, OpIx, PartIx, ResolvedFormula};
use lidoff_catalog::setup::Setup;

/// The relevant parts in catalog order.
pub fn relevant_parts(request: &Request) -> Vec<PartIx> {
    let catalog = request.catalog;
    let mut collector = Collector {
        catalog,
        setup: request.setup,
        is_relevant: vec![false; catalog.parts().len()],
        pending: Vec::new(),
    };
    for task in request.tasks {
        collector.add_task(*task);
    }
    for (part, _) in catalog.parts() {
        if request.from.of(part) != PartState::Fitted {
            collector.add_part(part);
        }
    }
    collector.close();
    catalog
        .parts()
        .map(|(part, _)| part)
        .filter(|part| collector.is_relevant[part.index()])
        .collect()
}

struct Collector<'a> {
    catalog: &'a Catalog,
    setup: &'a Setup,
    is_relevant: Vec<bool>,
    /// Parts whose legs have not been followed yet.
    pending: Vec<PartIx>,
}

impl Collector<'_> {
    fn add_task(&mut self, task: Task) {
        match task {
            Task::Replace(part) => {
                self.add_part(part);
                if let Some(swap) = &self.catalog.part(part).swap {
                    self.add_needs(&swap.needs);
                    for rider in &swap.moves_over {
                        self.add_part(*rider);
                    }
                }
            }
            Task::LeaveOut(part) => {
                self.add_part(part);
                self.add_needs(&self.catalog.part(part).leave_out_needs);
            }
            Task::Reseat(part) => {
                self.add_part(part);
                if let Some(reseat) = &self.catalog.part(part).reseat {
                    self.add_needs(&reseat.needs);
                }
            }
            Task::Inspect(part) => {
                if let Some(inspect) = &self.catalog.part(part).inspect {
                    self.add_needs(&inspect.needs);
                }
            }
            Task::Serve(service) => {
                let service = self.catalog.service(service);
                self.add_needs(&service.needs);
                for op in service.before.iter().chain(&service.after) {
                    match op {
                        OpIx::TakeOff(part) | OpIx::PutBack(part) | OpIx::Swap(part) => {
                            self.add_part(*part);
                        }
                        OpIx::Service(_) => {}
                    }
                }
            }
        }
    }

    fn add_part(&mut self, part: PartIx) {
        if self.setup.has(self.catalog, part) && !self.is_relevant[part.index()] {
            self.is_relevant[part.index()] = true;
            self.pending.push(part);
        }
    }

    fn add_needs(&mut self, needs: &ResolvedFormula) {
        match needs {
            Formula::All(several) | Formula::Any(several) => {
                for one in several {
                    self.add_needs(one);
                }
            }
            Formula::When { condition, then } => {
                if self.setup.holds(condition) {
                    self.add_needs(then);
                }
            }
            Formula::Eased(part)
            | Formula::Off(part)
            | Formula::Clear(part)
            | Formula::InPlace(part) => self.add_part(*part),
            // A part that matters to nothing else stays fitted.
            Formula::Closed => {}
        }
    }

    fn close(&mut self) {
        while let Some(part) = self.pending.pop() {
            let part = self.catalog.part(part);
            if let Some(carrier) = part.rides_on {
                self.add_part(carrier);
            }
            for leg in part.legs() {
                self.add_needs(&leg.needs);
                self.add_needs(&leg.refit_needs);
            }
        }
    }
}
