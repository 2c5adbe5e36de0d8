//! From names to indices: every id found, or said not to be there.
//!
//! The order of the file is kept: steps are numbered in the order in which they
//! stand in it. Lowering goes on past an unknown id with a stand-in index, so
//! that all of them are told at once; [`check`](super::check()) lets no draft out
//! that has a fault.

mod formula;
mod part;
mod step;

use std::collections::{BTreeMap, BTreeSet};

use super::draft::{
    AtomPlace, ConditionPlace, Draft, FormulaOwner, OrderPlace, StepList, StepPlace,
};
use super::entry_kind::EntryKind;
use super::fault::Report;
use super::ids::{IdTables, duplicate, plain_word};
use super::path::Path;
use crate::format::{self, CatalogFile, Connection, HandBackId};
use crate::model::{
    Catalog, FaceIx, PartIx, PlacedFastening, PlacedHazard, Service, ServiceIx, Step, Wait,
};

/// Lowers a file; what names nothing goes into the report.
pub(super) async fn lower(
    file: &CatalogFile,
    report: &mut Report,
    rest: &mut impl AsyncFnMut(),
) -> Draft {
    let names = IdTables::collect(file, report);
    Lowering {
        names,
        report,
        steps: Vec::new(),
        step_places: Vec::new(),
        step_ids: BTreeSet::new(),
        waits: Vec::new(),
        wait_ids: BTreeMap::new(),
        awaited: Vec::new(),
        hand_backs: BTreeSet::new(),
        fastenings: Vec::new(),
        fastening_places: Vec::new(),
        connections: Vec::new(),
        connection_places: Vec::new(),
        conditions: Vec::new(),
        atoms: Vec::new(),
        orders: Vec::new(),
    }
    .run(file, rest)
    .await
}

struct Lowering<'f, 'r> {
    names: IdTables<'f>,
    report: &'r mut Report,
    steps: Vec<Step>,
    step_places: Vec<StepPlace>,
    step_ids: BTreeSet<&'f str>,
    waits: Vec<Wait>,
    wait_ids: BTreeMap<&'f str, u16>,
    awaited: Vec<Awaited<'f>>,
    hand_backs: BTreeSet<&'f HandBackId>,
    fastenings: Vec<PlacedFastening>,
    fastening_places: Vec<Path>,
    connections: Vec<Connection>,
    connection_places: Vec<Path>,
    conditions: Vec<ConditionPlace>,
    atoms: Vec<AtomPlace>,
    orders: Vec<OrderPlace>,
}

/// A step that waits, until it is known what for.
struct Awaited<'f> {
    step: usize,
    id: &'f str,
    at: Path,
}

impl<'f> Lowering<'f, '_> {
    async fn run(mut self, file: &'f CatalogFile, rest: &mut impl AsyncFnMut()) -> Draft {
        let root = Path::root();
        rest().await;
        self.faces(file);
        let hazards = file.hazards.iter().enumerate().map(|(nth, hazard)| {
            let at = root.field("hazards").nth(nth);
            let at = at.about(EntryKind::Hazard, hazard.id.as_str());
            PlacedHazard {
                entry: hazard.clone(),
                when: self.when(hazard.when.as_ref(), &at, &[], None),
            }
        });
        let hazards = hazards.collect();
        let make_safe = self.steps(
            &file.make_safe,
            &root.field("make_safe"),
            StepList::MakeSafe,
            &[],
        );
        let mut part_places = Vec::new();
        let mut parts = Vec::new();
        for (nth, part) in file.parts.iter().enumerate() {
            let at = root
                .field("parts")
                .nth(nth)
                .about(EntryKind::Part, part.id.as_str());
            parts.push(self.part(part, PartIx(index(nth)), &at));
            part_places.push(at);
            rest().await;
        }
        for (nth, part) in file.parts.iter().enumerate() {
            if let Some(carrier) = &part.rides_on {
                let at = part_places[nth].field("rides_on");
                let carrier = self.part_ix(carrier, &at);
                if let Some(carrier) = parts.get_mut(carrier.index()) {
                    carrier.riders.push(PartIx(index(nth)));
                }
                parts[nth].rides_on = Some(carrier);
            }
        }
        let services = file.services.iter().enumerate();
        let services = services.map(|(nth, service)| {
            let at = root.field("services").nth(nth);
            let at = at.about(EntryKind::Service, service.id.as_str());
            self.service(service, ServiceIx(index(nth)), &at)
        });
        let services = services.collect();
        let prove = self.steps(&file.prove, &root.field("prove"), StepList::Prove, &[]);
        let hand_over = self.steps(
            &file.hand_over,
            &root.field("hand_over"),
            StepList::HandOver,
            &[],
        );
        self.find_waits();
        Draft {
            catalog: Catalog {
                unit: file.unit.clone(),
                tool_change_s: file.changes.tool_s,
                turn_s: file.changes.turn_s,
                faces: file.faces.clone(),
                tools: file.tools.clone(),
                fasteners: file.fasteners.clone(),
                fastenings: self.fastenings,
                connections: self.connections,
                consumables: file.consumables.clone(),
                spares: file.spares.clone(),
                options: file.options.clone(),
                questions: file.questions.clone(),
                hazards,
                waits: self.waits,
                steps: self.steps,
                parts,
                services,
                make_safe,
                prove,
                hand_over,
            },
            steps: self.step_places,
            conditions: self.conditions,
            atoms: self.atoms,
            orders: self.orders,
            parts: part_places,
            fastenings: self.fastening_places,
            connections: self.connection_places,
        }
    }

    /// The parts that the drawings show, the faces that lie on each other, and the
    /// answers that plans assume.
    fn faces(&mut self, file: &CatalogFile) {
        let root = Path::root();
        for (nth, face) in file.faces.iter().enumerate() {
            let at = root
                .field("faces")
                .nth(nth)
                .about(EntryKind::Face, face.id.as_str());
            if let Some(opposite) = &face.opposite {
                self.face_ix(&opposite.face, &at.field("opposite").field("face"));
            }
            for (nth, feature) in face.features.iter().enumerate() {
                if let Some(part) = &feature.part {
                    self.part_ix(part, &at.field("features").nth(nth).field("part"));
                }
            }
        }
        for (nth, question) in file.questions.iter().enumerate() {
            let at = root.field("questions").nth(nth).field("assumed");
            let at = at.about(EntryKind::Question, question.id.as_str());
            if let Some(answers) = self.names.answers.get(nth) {
                answers.find(question.assumed.as_str(), &at, self.report);
            }
        }
    }

    fn service(&mut self, said: &'f format::Service, ix: ServiceIx, at: &Path) -> Service {
        let when = self.when(said.when.as_ref(), at, &[], None);
        let under = [when.clone()];
        Service {
            needs: self.needs(
                &said.needs,
                &at.field("needs"),
                FormulaOwner::Service(ix),
                &under,
            ),
            before: self.orders(&said.before, &at.field("before"), ix, true),
            after: self.orders(&said.after, &at.field("after"), ix, false),
            steps: self.steps(
                &said.steps,
                &at.field("steps"),
                StepList::Service(ix),
                &under,
            ),
            entry: said.clone(),
            when,
        }
    }

    fn part_ix(&mut self, id: &format::PartId, at: &Path) -> PartIx {
        PartIx(self.names.parts.find(id.as_str(), at, self.report))
    }

    fn service_ix(&mut self, id: &format::ServiceId, at: &Path) -> ServiceIx {
        ServiceIx(self.names.services.find(id.as_str(), at, self.report))
    }

    fn face_ix(&mut self, id: &format::FaceId, at: &Path) -> FaceIx {
        FaceIx(self.names.faces.find(id.as_str(), at, self.report))
    }

    fn hand_back_id(&mut self, id: &'f HandBackId, at: &Path) {
        let at = at.field("id");
        plain_word(EntryKind::HandBack, id.as_str(), &at, self.report);
        if !self.hand_backs.insert(id) {
            duplicate(EntryKind::HandBack, id.as_str(), &at, self.report);
        }
    }
}

/// An index; one too great to be said has been reported when ids were gathered.
fn index(nth: usize) -> u16 {
    u16::try_from(nth).unwrap_or(u16::MAX)
}
