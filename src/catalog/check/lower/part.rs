//! Parts, their legs, and the tasks on them.

use super::isolation::Exceptions;
use super::lowering::{Lowering, index};
use crate::check::draft::{Direction, FormulaOwner, LegName, StepList};
use crate::check::entry_kind::EntryKind;
use crate::check::path::Path;
use crate::format;
use crate::model::{
    ConnectionIx, FastenerIx, FasteningIx, HandBack, Inspect, Leg, Part, PartIx, PlacedFastening,
    Reseat, ResolvedCondition, ResolvedFormula, Source, SpareIx, Swap,
};

/// Where a leg is.
struct LegPlace<'p> {
    part: PartIx,
    name: LegName,
    at: &'p Path,
    /// The entry of its part or source.
    entry: &'p Path,
}

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
        let exceptions = (&entry.may_be_live, at.field("may_be_live"));
        let mut leg = |leg: &'f format::Leg, name| {
            let place = LegPlace {
                part: ix,
                name,
                at: &name.path(at, self.is_source(ix)),
                entry: at,
            };
            self.leg(leg, entry, &place, &under, &exceptions)
        };
        let ease = entry.ease.as_ref();
        let ease = ease.map(|one| leg(one, LegName::Ease));
        let take_off = entry.take_off.as_ref();
        let take_off = take_off.map(|one| leg(one, LegName::TakeOff));
        let other_ways = (0..).zip(&entry.other_ways);
        let other_ways = other_ways.map(|(nth, one)| leg(one, LegName::OtherWay(nth)));
        let other_ways = other_ways.collect();
        let bench_off = entry.bench_off.as_ref();
        let bench_off = bench_off.map(|one| leg(one, LegName::BenchOff));
        let nothing = ResolvedFormula::nothing();
        let isolated = match self.is_source(ix) {
            true => nothing,
            false => {
                self.with_isolation(nothing, Some(&entry.id), std::slice::from_ref(&exceptions))
            }
        };
        let swap = entry.swap.as_ref();
        let swap = swap.map(|swap| {
            let lowered = self.swap(swap, ix, &under, &at.field("swap"));
            let pieces = lowered.hand_backs.iter().map(|piece| &piece.steps);
            let lists = std::iter::once(&lowered.steps).chain(pieces);
            Swap {
                needs: self.with_faces(isolated.clone(), lists),
                ..lowered
            }
        });
        let leave_out = at.field("leave_out");
        let leave_out = self.steps(&entry.leave_out, &leave_out, StepList::LeaveOut(ix), &under);
        let reseat = entry.reseat.as_ref().map(|reseat| {
            let at = at.field("reseat");
            let steps = at.field("steps");
            let steps = self.steps(&reseat.steps, &steps, StepList::Reseat(ix), &under);
            Reseat {
                at: reseat.at,
                needs: self.with_faces(isolated.clone(), [&steps]),
                steps,
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
            let needs = self.needs(
                &inspect.needs,
                &at.field("needs"),
                FormulaOwner::Inspect(ix),
                &under,
            );
            let needs = ResolvedFormula::All(vec![needs, isolated.clone()]);
            let steps = at.field("steps");
            let steps = self.steps(&inspect.steps, &steps, StepList::Inspect(ix), &under);
            Inspect {
                needs: self.with_faces(needs, [&steps]),
                steps,
            }
        });
        Part {
            id: entry.id.clone(),
            name: entry.name.clone(),
            about: entry.about.clone(),
            like: entry.like.clone(),
            mass_kg: entry.mass_kg,
            when,
            rides_on: None,
            riders: Vec::new(),
            fastenings,
            connections,
            ease,
            source: self.source(ix, at),
            take_off,
            other_ways,
            bench_off,
            swap,
            leave_out_needs: self.with_faces(isolated, [&leave_out]),
            leave_out,
            reseat,
            inspect,
        }
    }

    /// What the entry says of an energy source, if it is one.
    fn source(&mut self, ix: PartIx, at: &Path) -> Option<Source> {
        let nth = ix.index().checked_sub(self.first_source())?;
        let entry = &self.sources[nth];
        let condemned = entry.condemned.as_ref().map(|condemned| {
            let at = at.field("condemned");
            let when = self.when(Some(&condemned.when), &at, &[], None);
            (when, condemned.words.clone())
        });
        Some(Source {
            condemned,
            kind: entry.kind,
            fed_by: entry.fed_by.clone(),
            isolated: entry.isolated.clone(),
            live: entry.live.clone(),
            verify_after_minutes: entry.verify_after_minutes,
        })
    }

    fn leg(
        &mut self,
        entry: &'f format::Leg,
        of: &format::Part,
        place: &LegPlace,
        under: &[ResolvedCondition],
        of_part: &Exceptions,
    ) -> Leg {
        let LegPlace { part, name, at, .. } = *place;
        let list = |way| StepList::Leg(part, name, way);
        let owner = FormulaOwner::Leg(part, name);
        let needs = self.needs(&entry.needs, &at.field("needs"), owner, under);
        let owner = FormulaOwner::Refit(part, name);
        let refit_needs = self.needs(&entry.refit_needs, &at.field("refit_needs"), owner, under);
        let (needs, refit_needs) = if self.is_source(part) {
            self.with_feeds(part, place.entry, needs, refit_needs)
        } else {
            let exceptions = Self::exceptions_of_leg(of_part, entry, at);
            let needs = self.with_isolation(needs, Some(&of.id), &exceptions);
            (needs, refit_needs)
        };
        let out = self.steps(&entry.out, &at.field("out"), list(Direction::Out), under);
        let back = self.steps(&entry.back, &at.field("back"), list(Direction::Back), under);
        Leg {
            needs: self.with_faces(needs, [&out, &back]),
            refit_needs,
            out,
            back,
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
            needs: ResolvedFormula::nothing(),
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
