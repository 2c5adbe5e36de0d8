//! Parts, their legs, and what is done with them.

use super::lowering::{Lowering, index};
use crate::check::draft::{Direction, FormulaOwner, LegName, StepList};
use crate::check::entry_kind::EntryKind;
use crate::check::path::Path;
use crate::format;
use crate::model::{
    ConnectionIx, FastenerIx, FasteningIx, HandBack, Inspect, Leg, Part, PartIx, PlacedFastening,
    Reseat, ResolvedCondition, SpareIx, Swap,
};

impl<'f> Lowering<'f, '_> {
    /// A part, but for what it rides on and what rides on it.
    pub(super) fn part(&mut self, said: &'f format::Part, ix: PartIx, at: &Path) -> Part {
        let when = self.when(said.when.as_ref(), at, &[], None);
        let under = [when.clone()];
        let fastenings = said.fastenings.iter().enumerate();
        let fastenings = fastenings.map(|(nth, fastening)| {
            let at = at.field("fastenings").nth(nth);
            self.fastening(fastening, ix, &under, at)
        });
        let fastenings = fastenings.collect();
        let connections = said.connections.iter().enumerate();
        let connections = connections.map(|(nth, connection)| {
            let at = at.field("connections").nth(nth);
            self.connection(connection, at)
        });
        let connections = connections.collect();
        let mut leg = |said: &'f Option<format::Leg>, name| {
            let said = said.as_ref()?;
            Some(self.leg(said, ix, name, &under, &at.field(LegName::field(name))))
        };
        let ease = leg(&said.ease, LegName::Ease);
        let take_off = leg(&said.take_off, LegName::TakeOff);
        let bench_off = leg(&said.bench_off, LegName::BenchOff);
        let swap = said.swap.as_ref();
        let swap = swap.map(|swap| self.swap(swap, ix, &under, &at.field("swap")));
        let reseat = said.reseat.as_ref().map(|reseat| {
            let at = at.field("reseat");
            Reseat {
                at: reseat.at,
                steps: self.steps(
                    &reseat.steps,
                    &at.field("steps"),
                    StepList::Reseat(ix),
                    &under,
                ),
                prove: self.steps(
                    &reseat.prove,
                    &at.field("prove"),
                    StepList::ProveReseat(ix),
                    &under,
                ),
            }
        });
        let inspect = said.inspect.as_ref().map(|inspect| {
            let at = at.field("inspect");
            Inspect {
                needs: self.needs(
                    &inspect.needs,
                    &at.field("needs"),
                    FormulaOwner::Inspect(ix),
                    &under,
                ),
                steps: self.steps(
                    &inspect.steps,
                    &at.field("steps"),
                    StepList::Inspect(ix),
                    &under,
                ),
            }
        });
        Part {
            id: said.id.clone(),
            name: said.name.clone(),
            about: said.about.clone(),
            mass_kg: said.mass_kg,
            when,
            rides_on: None,
            riders: Vec::new(),
            fastenings,
            connections,
            ease,
            take_off,
            bench_off,
            swap,
            reseat,
            inspect,
        }
    }

    fn leg(
        &mut self,
        said: &'f format::Leg,
        part: PartIx,
        name: LegName,
        under: &[ResolvedCondition],
        at: &Path,
    ) -> Leg {
        let list = |way| StepList::Leg(part, name, way);
        Leg {
            needs: self.needs(
                &said.needs,
                &at.field("needs"),
                FormulaOwner::Leg(part, name),
                under,
            ),
            refit_needs: self.needs(
                &said.refit_needs,
                &at.field("refit_needs"),
                FormulaOwner::Refit(part, name),
                under,
            ),
            out: self.steps(&said.out, &at.field("out"), list(Direction::Out), under),
            back: self.steps(&said.back, &at.field("back"), list(Direction::Back), under),
        }
    }

    fn swap(
        &mut self,
        said: &'f format::Swap,
        part: PartIx,
        under: &[ResolvedCondition],
        at: &Path,
    ) -> Swap {
        let spare = said.spare.as_ref().map(|spare| {
            let at = at.field("spare");
            SpareIx(self.names.spares.find(spare.as_str(), &at, self.report))
        });
        let moves_over = said.moves_over.iter().enumerate();
        let moves_over =
            moves_over.map(|(nth, rider)| self.part_ix(rider, &at.field("moves_over").nth(nth)));
        let moves_over = moves_over.collect();
        let services = said.services.iter().enumerate();
        let services =
            services.map(|(nth, service)| self.service_ix(service, &at.field("services").nth(nth)));
        let services = services.collect();
        let steps = self.steps(&said.steps, &at.field("steps"), StepList::Swap(part), under);
        let hand_backs = said.hand_backs.iter().enumerate().map(|(nth, said)| {
            let at = at.field("hand_backs").nth(nth);
            let at = at.about(EntryKind::HandBack, said.id.as_str());
            self.hand_back_id(&said.id, &at);
            let list = StepList::HandBack(part, nth);
            let when = self.when(said.when.as_ref(), &at, under, Some((list, 0)));
            let mut under = under.to_vec();
            under.push(when.clone());
            HandBack {
                id: said.id.clone(),
                name: said.name.clone(),
                when,
                steps: self.steps(&said.steps, &at.field("steps"), list, &under),
            }
        });
        let hand_backs = hand_backs.collect();
        let prove = StepList::ProveSwap(part);
        Swap {
            spare,
            moves_over,
            steps,
            hand_backs,
            services,
            prove: self.steps(&said.prove, &at.field("prove"), prove, under),
        }
    }

    fn fastening(
        &mut self,
        said: &format::Fastening,
        part: PartIx,
        under: &[ResolvedCondition],
        at: Path,
    ) -> FasteningIx {
        let at = at.about(EntryKind::Fastening, said.id.as_str());
        let kind = at.field("fastener");
        let kind = self
            .names
            .fasteners
            .find(said.fastener.as_str(), &kind, self.report);
        let face = said.face.as_ref();
        let face = face.map(|face| self.face_ix(face, &at.field("face")));
        let when = self.when(said.when.as_ref(), &at, under, None);
        let ix = FasteningIx(index(self.fastenings.len()));
        self.fastenings.push(PlacedFastening {
            entry: said.clone(),
            fastener: FastenerIx(kind),
            part,
            face,
            when,
        });
        self.fastening_places.push(at);
        ix
    }

    fn connection(&mut self, said: &format::Connection, at: Path) -> ConnectionIx {
        let ix = ConnectionIx(index(self.connections.len()));
        self.connections.push(said.clone());
        self.connection_places
            .push(at.about(EntryKind::Connection, said.id.as_str()));
        ix
    }
}
