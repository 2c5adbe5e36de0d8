//! Random service operations.

use lidoff_catalog::format::{OrderAnchor, PartId, Service};

use super::unit_builder::{PartPosition, UnitBuilder};
use crate::builder;
use crate::byte_draw::ByteDraw;

impl UnitBuilder {
    /// None, one or two. The early service names only parts before some part in the list and
    /// comes before operations on that part and those after it. The late service comes after
    /// operations. So neither can block itself.
    pub(super) fn services(&mut self, draw: &mut ByteDraw<'_>) -> Vec<Service> {
        let mut services = Vec::new();
        if !self.with.services {
            return services;
        }
        let early = draw.chance(60);
        let late = draw.chance(60);
        if early {
            services.push(self.early(late, draw));
        }
        if late {
            services.push(self.late(early, draw));
        }
        for built in &mut self.parts {
            if let Some(swap) = &mut built.part.swap {
                for service in &services {
                    if draw.chance(30) {
                        swap.services.push(service.id.clone());
                    }
                }
            }
        }
        services
    }

    fn early(&self, late: bool, draw: &mut ByteDraw<'_>) -> Service {
        let from = draw.below(self.parts.len() + 1);
        let mut witness = self.witness(&[], None, draw);
        witness.truncate(from);
        let mut service = builder::service("early", self.formula(&witness, &[], draw));
        for built in &self.parts[from..] {
            let id = PartId::from(built.id());
            if built.most == PartPosition::Off {
                if draw.chance(40) {
                    service.before.push(OrderAnchor::TakeOff(id.clone()));
                }
                if draw.chance(20) {
                    service.before.push(OrderAnchor::PutBack(id.clone()));
                }
            }
            if built.part.swap.is_some() && draw.chance(30) {
                service.before.push(OrderAnchor::Swap(id));
            }
        }
        if late && draw.chance(50) {
            service.before.push(OrderAnchor::Service("late".into()));
        }
        self.finish(service, draw)
    }

    fn late(&self, early: bool, draw: &mut ByteDraw<'_>) -> Service {
        let mut back = Vec::new();
        let mut after = Vec::new();
        for (at, built) in self.parts.iter().enumerate() {
            let id = PartId::from(built.id());
            if built.most == PartPosition::Off {
                if draw.chance(25) {
                    after.push(OrderAnchor::PutBack(id.clone()));
                    back.push(at);
                } else if draw.chance(25) {
                    after.push(OrderAnchor::TakeOff(id.clone()));
                }
            }
            if built.part.swap.is_some() && draw.chance(40) {
                after.push(OrderAnchor::Swap(id));
            }
        }
        if early && draw.chance(50) {
            after.push(OrderAnchor::Service("early".into()));
        }
        let witness = self.witness(&back, None, draw);
        let mut service = builder::service("late", self.formula(&witness, &[], draw));
        service.after = after;
        self.finish(service, draw)
    }

    fn finish(&self, mut service: Service, draw: &mut ByteDraw<'_>) -> Service {
        service.steps = self.some_steps(&format!("{}-run", service.id), 1, draw);
        service.when = self.perhaps(20, draw);
        service
    }
}
