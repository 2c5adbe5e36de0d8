//! Random energy sources.

use lidoff_catalog::format::{CatalogFile, Formula, Leg, PartId, Source, SourceKind};

use super::unit_builder::UnitBuilder;
use crate::builder;
use crate::byte_draw::ByteDraw;

impl UnitBuilder {
    /// Adds an outer source, which may need the unit closed to be made live; perhaps one that
    /// it feeds; and perhaps one inside, behind a part. The sources stand in the order of the
    /// parts like parts of their own: the outer one and the one that it feeds before all
    /// others, the inner one right after the part that it lies behind. So each state can
    /// still be closed.
    pub(super) fn add_sources(&mut self, file: &mut CatalogFile, draw: &mut ByteDraw<'_>) {
        let needs_closed = draw.chance(60);
        let mut outer = self.source("outer", draw);
        if needs_closed {
            outer.isolation.refit_needs = Formula::Closed;
        }
        let mut sources = vec![outer];
        if draw.chance(40) {
            let mut fed = self.source("fed", draw);
            fed.fed_by = vec!["outer".into()];
            if draw.chance(50) {
                let reached = self.parts.iter().filter(|_| draw.chance(40));
                fed.reach = Some(reached.map(|built| built.part.id.clone()).collect());
            }
            sources.push(fed);
        }
        if draw.chance(60) {
            sources.push(self.inner_source(draw));
        }
        for built in &mut self.parts {
            let spared = sources[0].id.clone();
            if draw.chance(25) {
                built.part.may_be_live.push(spared);
            }
        }
        let all: Vec<PartId> = sources.iter().map(|source| source.id.clone()).collect();
        for service in &mut file.services {
            // A service may have to come before the part that the inner source lies behind.
            service.may_be_live = vec!["inner".into()];
            service.may_be_live.retain(|id| all.contains(id));
            if draw.chance(50) {
                service.may_be_live.clone_from(&all);
                if draw.chance(70) {
                    service.live = vec!["outer".into()];
                    service.before.clear();
                    service.after.clear();
                    if needs_closed {
                        service.needs = Formula::Closed;
                    }
                }
            }
        }
        file.sources = sources;
    }

    /// A source behind a part: all that comes before that part may be done while it is live.
    fn inner_source(&mut self, draw: &mut ByteDraw<'_>) -> Source {
        let mut inner = self.source("inner", draw);
        let behind = draw.below(self.parts.len());
        let built = &self.parts[behind];
        let id = built.part.id.clone();
        inner.isolation.needs = if built.eases {
            Formula::Eased(id)
        } else {
            Formula::Off(id)
        };
        if draw.chance(40) {
            inner
                .other_isolations
                .push(self.isolation("inner-other", draw));
        }
        for built in &mut self.parts[..=behind] {
            built.part.may_be_live.push("inner".into());
        }
        inner
    }

    fn source(&self, id: &str, draw: &mut ByteDraw<'_>) -> Source {
        Source {
            id: id.into(),
            name: id.to_owned(),
            about: None,
            kind: SourceKind::Mains,
            when: self.perhaps(20, draw),
            fed_by: Vec::new(),
            reach: None,
            isolated: format!("{id} isolated"),
            live: format!("{id} live"),
            verify_after_minutes: None,
            condemned: None,
            connections: Vec::new(),
            isolation: self.isolation(id, draw),
            other_isolations: Vec::new(),
        }
    }

    fn isolation(&self, name: &str, draw: &mut ByteDraw<'_>) -> Leg {
        Leg {
            out: self.some_steps(&format!("{name}-isolate"), 1, draw),
            back: self.some_steps(&format!("{name}-energise"), 1, draw),
            ..builder::leg(name, builder::free())
        }
    }
}
