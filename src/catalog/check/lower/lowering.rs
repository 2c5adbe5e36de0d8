//! The state of lowering, and the order in which a file is lowered.

use std::collections::{BTreeMap, BTreeSet};

use crate::check::draft::{
    AtomPlace, ConditionPlace, Draft, FormulaOwner, OrderPlace, StepList, StepPlace,
};
use crate::check::entry_kind::EntryKind;
use crate::check::fault::Report;
use crate::check::ids::{IdTables, duplicate, part_path, plain_word};
use crate::check::path::Path;
use crate::format::{self, CatalogFile, Connection, FormatTag, HandBackId};
use crate::model::{
    Catalog, FaceIx, PartIx, PlacedFastening, PlacedHazard, ResolvedFormula, Service, ServiceIx,
    Step, StepIx, Wait,
};

/// Lowers a file; unknown ids go into the report.
pub(in crate::check) async fn lower(
    file: CatalogFile,
    report: &mut Report,
    rest: &mut impl AsyncFnMut(),
) -> Draft {
    let start_field = match file.format {
        FormatTag::V1 => "prove",
        FormatTag::V2 => "start",
    };
    let mut file = file.migrate();
    let sources = std::mem::take(&mut file.sources);
    file.parts
        .extend(sources.iter().map(format::Source::as_part));
    let file = &file;
    let names = IdTables::collect(file, sources.len(), report);
    Lowering {
        names,
        sources: &sources,
        face_needs: Vec::new(),
        start_field,
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

pub(super) struct Lowering<'f, 'r> {
    pub(super) names: IdTables<'f>,
    /// The sources, which the last parts of the file stand for.
    pub(super) sources: &'f [format::Source],
    /// What must hold while each face is up.
    pub(super) face_needs: Vec<ResolvedFormula>,
    /// Where the steps that start the unit are written.
    start_field: &'static str,
    pub(super) report: &'r mut Report,
    pub(super) steps: Vec<Step>,
    pub(super) step_places: Vec<StepPlace>,
    pub(super) step_ids: BTreeSet<&'f str>,
    pub(super) waits: Vec<Wait>,
    pub(super) wait_ids: BTreeMap<&'f str, u16>,
    pub(super) awaited: Vec<Awaited<'f>>,
    pub(super) hand_backs: BTreeSet<&'f HandBackId>,
    pub(super) fastenings: Vec<PlacedFastening>,
    pub(super) fastening_places: Vec<Path>,
    pub(super) connections: Vec<Connection>,
    pub(super) connection_places: Vec<Path>,
    pub(super) conditions: Vec<ConditionPlace>,
    pub(super) atoms: Vec<AtomPlace>,
    pub(super) orders: Vec<OrderPlace>,
}

/// A step that waits, until its wait is known.
pub(super) struct Awaited<'f> {
    pub(super) step: usize,
    pub(super) id: &'f str,
    pub(super) at: Path,
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
            let at = part_path(file, self.sources.len(), nth);
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
        for (nth, source) in self.sources.iter().enumerate() {
            let at = root.field("sources").nth(nth);
            let at = at.about(EntryKind::Source, source.id.as_str());
            for (nth, part) in source.reach.iter().flatten().enumerate() {
                self.part_ix(part, &at.field("reach").nth(nth));
            }
        }
        let start = root.field(self.start_field);
        let start = self.steps(&file.start, &start, StepList::Start, &[]);
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
                kit: file.kit.clone(),
                options: file.options.clone(),
                questions: file.questions.clone(),
                hazards,
                waits: self.waits,
                steps: self.steps,
                parts,
                services,
                make_safe,
                start,
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
            let needs = at.field("needs");
            let needs = self.needs(&face.needs, &needs, FormulaOwner::Face, &[]);
            self.face_needs.push(needs);
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

    fn service(&mut self, entry: &'f format::Service, ix: ServiceIx, at: &Path) -> Service {
        let when = self.when(entry.when.as_ref(), at, &[], None);
        let under = [when.clone()];
        let needs = self.needs(
            &entry.needs,
            &at.field("needs"),
            FormulaOwner::Service(ix),
            &under,
        );
        let may_be_live = [
            (&entry.may_be_live, at.field("may_be_live")),
            (&entry.live, at.field("live")),
        ];
        let mut needs = self.with_isolation(needs, None, &may_be_live);
        for (nth, source) in entry.live.iter().enumerate() {
            let at = at.field("live").nth(nth);
            let live = ResolvedFormula::InPlace(self.source_ix(source, &at));
            needs = ResolvedFormula::All(vec![needs, live]);
        }
        let steps = self.steps(
            &entry.steps,
            &at.field("steps"),
            StepList::Service(ix),
            &under,
        );
        Service {
            needs: self.with_faces(needs, [&steps]),
            before: self.orders(&entry.before, &at.field("before"), ix, true),
            after: self.orders(&entry.after, &at.field("after"), ix, false),
            steps,
            entry: entry.clone(),
            when,
        }
    }

    /// The formula, and besides that what must hold while the faces of these steps are up.
    pub(super) fn with_faces<'s>(
        &self,
        needs: ResolvedFormula,
        lists: impl IntoIterator<Item = &'s Vec<StepIx>>,
    ) -> ResolvedFormula {
        let mut all = vec![needs];
        for step in lists.into_iter().flatten() {
            let face = self.steps[step.index()].face;
            let here = face.and_then(|face| self.face_needs.get(face.index()));
            let asks = here.filter(|here| **here != ResolvedFormula::nothing());
            all.extend(asks.filter(|here| !all.contains(here)).cloned());
        }
        match all.len() {
            1 => all.remove(0),
            _ => ResolvedFormula::All(all),
        }
    }

    pub(super) fn part_ix(&mut self, id: &format::PartId, at: &Path) -> PartIx {
        PartIx(self.names.parts.find(id.as_str(), at, self.report))
    }

    pub(super) fn service_ix(&mut self, id: &format::ServiceId, at: &Path) -> ServiceIx {
        ServiceIx(self.names.services.find(id.as_str(), at, self.report))
    }

    pub(super) fn face_ix(&mut self, id: &format::FaceId, at: &Path) -> FaceIx {
        FaceIx(self.names.faces.find(id.as_str(), at, self.report))
    }

    pub(super) fn hand_back_id(&mut self, id: &'f HandBackId, at: &Path) {
        let at = at.field("id");
        plain_word(EntryKind::HandBack, id.as_str(), &at, self.report);
        if !self.hand_backs.insert(id) {
            duplicate(EntryKind::HandBack, id.as_str(), &at, self.report);
        }
    }
}

/// An index. One that is too large was reported when the ids were collected.
pub(super) fn index(nth: usize) -> u16 {
    u16::try_from(nth).unwrap_or(u16::MAX)
}
