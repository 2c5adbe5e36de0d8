//! Parts, their legs, and the tasks on them.

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
    /// A part, without its carrier and riders.
    pub(super) fn part(&mut self, entry: &'f format::Part, ix: PartIx, at: &Path) -> Part {
        let when = self.when(entry.when.as_ref(), at, &[], None);
        let under = [when.clone()];
        let fastenings = entry.fastenings.iter().enumerate();
        let fastenings = fastenings.map(|(nth, fastening)| {
            let at = at.field("fastenings").nth(nth);
            self.fastening(fastening, ix, &under, at)
        });
        let fastenings = fastenings.collect();
        let connections = entry.connections.iter().enumerate();
        let connections = connections.map(|(nth, connection)| {
            let at = at.field("connections").nth(nth);
            self.connection(connection, at)
        });
        let connections = connections.collect();
        let mut leg = |entry: &'f Option<format::Leg>, name| {
            let entry = entry.as_ref()?;
            Some(self.leg(entry, ix, name, &under, &at.field(LegName::field(name))))
        };
        let ease = leg(&entry.ease, LegName::Ease);
        let take_off = leg(&entry.take_off, LegName::TakeOff);
        let bench_off = leg(&entry.bench_off, LegName::BenchOff);
        let swap = entry.swap.as_ref();
        let swap = swap.map(|swap| self.swap(swap, ix, &under, &at.field("swap")));
        let reseat = entry.reseat.as_ref().map(|reseat| {
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
        let inspect = entry.inspect.as_ref().map(|inspect| {
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
            id: entry.id.clone(),
            name: entry.name.clone(),
            about: entry.about.clone(),
            mass_kg: entry.mass_kg,
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
        entry: &'f format::Leg,
        part: PartIx,
        name: LegName,
        under: &[ResolvedCondition],
        at: &Path,
    ) -> Leg {
        let list = |way| StepList::Leg(part, name, way);
        Leg {
            needs: self.needs(
                &entry.needs,
                &at.field("needs"),
                FormulaOwner::Leg(part, name),
                under,
            ),
            refit_needs: self.needs(
                &entry.refit_needs,
                &at.field("refit_needs"),
                FormulaOwner::Refit(part, name),
                under,
            ),
            out: self.steps(&entry.out, &at.field("out"), list(Direction::Out), under),
            back: self.steps(&entry.back, &at.field("back"), list(Direction::Back), under),
        }
    }

    fn swap(
        &mut self,
        entry: &'f format::Swap,
        part: PartIx,
        under: &[ResolvedCondition],
        at: &Path,
    ) -> Swap {
        let spare = entry.spare.as_ref().map(|spare| {
            let at = at.field("spare");
            SpareIx(self.names.spares.find(spare.as_str(), &at, self.report))
        });
        let moves_over = entry.moves_over.iter().enumerate();
        let moves_over =
            moves_over.map(|(nth, rider)| self.part_ix(rider, &at.field("moves_over").nth(nth)));
        let moves_over = moves_over.collect();
        let services = entry.services.iter().enumerate();
        let services =
            services.map(|(nth, service)| self.service_ix(service, &at.field("services").nth(nth)));
        let services = services.collect();
        let steps = self.steps(
            &entry.steps,
            &at.field("steps"),
            StepList::Swap(part),
            under,
        );
        let hand_backs = entry.hand_backs.iter().enumerate().map(|(nth, entry)| {
            let at = at.field("hand_backs").nth(nth);
            let at = at.about(EntryKind::HandBack, entry.id.as_str());
            self.hand_back_id(&entry.id, &at);
            let list = StepList::HandBack(part, nth);
            let when = self.when(entry.when.as_ref(), &at, under, Some((list, 0)));
            let mut under = under.to_vec();
            under.push(when.clone());
            HandBack {
                id: entry.id.clone(),
                name: entry.name.clone(),
                when,
                steps: self.steps(&entry.steps, &at.field("steps"), list, &under),
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
            prove: self.steps(&entry.prove, &at.field("prove"), prove, under),
        }
    }

    fn fastening(
        &mut self,
        entry: &format::Fastening,
        part: PartIx,
        under: &[ResolvedCondition],
        at: Path,
    ) -> FasteningIx {
        let at = at.about(EntryKind::Fastening, entry.id.as_str());
        let kind = at.field("fastener");
        let kind = self
            .names
            .fasteners
            .find(entry.fastener.as_str(), &kind, self.report);
        let face = entry.face.as_ref();
        let face = face.map(|face| self.face_ix(face, &at.field("face")));
        let when = self.when(entry.when.as_ref(), &at, under, None);
        let ix = FasteningIx(index(self.fastenings.len()));
        self.fastenings.push(PlacedFastening {
            entry: entry.clone(),
            fastener: FastenerIx(kind),
            part,
            face,
            when,
        });
        self.fastening_places.push(at);
        ix
    }

    fn connection(&mut self, entry: &format::Connection, at: Path) -> ConnectionIx {
        let ix = ConnectionIx(index(self.connections.len()));
        self.connections.push(entry.clone());
        self.connection_places
            .push(at.about(EntryKind::Connection, entry.id.as_str()));
        ix
    }
}
