//! The unit, read from the file: its parts and sources, and what each step belongs to.

use std::collections::{BTreeMap, BTreeSet};

use lidoff_catalog::format::{
    CatalogFile, ConditionEntry, Formula, Hazard, HazardId, Leg, Part, PartId, Service, Source,
    Step, StepId,
};
use lidoff_i18n::localize;

use super::case::{Case, Task};
use super::op::{Op, ThingNr};

/// From where to where a leg leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum LegKind {
    Ease,
    Off,
    Bench,
}

/// A part or a source.
pub(crate) struct Thing<'f> {
    pub id: &'f PartId,
    pub name: String,
    pub part: Option<&'f Part>,
    pub source: Option<&'f Source>,
    /// Whether this unit has it.
    pub is_here: bool,
    pub carrier: Option<ThingNr>,
    pub legs: Vec<(LegKind, &'f Leg)>,
    /// A way out, or a way back, has no step on this unit.
    pub silent_out: bool,
    pub silent_back: bool,
}

/// The unit in the case that is audited.
pub(crate) struct Unit<'f> {
    pub file: &'f CatalogFile,
    pub case: &'f Case,
    pub things: Vec<Thing<'f>>,
    numbers: BTreeMap<&'f PartId, ThingNr>,
    steps: BTreeMap<&'f StepId, (Op, &'f Step)>,
    hazards: BTreeMap<&'f HazardId, &'f Hazard>,
}

impl<'f> Unit<'f> {
    pub fn new(file: &'f CatalogFile, case: &'f Case) -> Self {
        let parts = file.parts.iter().map(|part| {
            let off = part.take_off.iter().chain(&part.other_ways);
            let legs = part.ease.iter().map(|leg| (LegKind::Ease, leg));
            let legs = legs.chain(off.map(|leg| (LegKind::Off, leg)));
            let bench = part.bench_off.iter().map(|leg| (LegKind::Bench, leg));
            (
                &part.id,
                &part.name,
                &part.when,
                Some(part),
                None,
                legs.chain(bench).collect(),
            )
        });
        let sources = file.sources.iter().map(|source| {
            let legs = std::iter::once(&source.isolation).chain(&source.other_isolations);
            let legs = legs.map(|leg| (LegKind::Off, leg)).collect();
            (
                &source.id,
                &source.name,
                &source.when,
                None,
                Some(source),
                legs,
            )
        });
        let all: Vec<(_, _, _, _, _, Vec<_>)> = parts.chain(sources).collect();
        let numbers: BTreeMap<_, _> = all
            .iter()
            .enumerate()
            .map(|(nr, one)| (one.0, nr))
            .collect();
        let mut unit = Self {
            file,
            case,
            things: Vec::new(),
            steps: BTreeMap::new(),
            hazards: file.hazards.iter().map(|one| (&one.id, one)).collect(),
            numbers,
        };
        for (id, name, when, part, source, legs) in all {
            let is_silent = |steps: &[Step]| !steps.iter().any(|step| unit.applies(step));
            let thing = Thing {
                id,
                name: localize(name).into_owned(),
                part,
                source,
                is_here: unit.holds(when.as_ref()),
                carrier: part.and_then(|part| unit.number(part.rides_on.as_ref()?)),
                silent_out: legs.iter().any(|(_, leg)| is_silent(&leg.out)),
                silent_back: legs.iter().any(|(_, leg)| is_silent(&leg.back)),
                legs,
            };
            unit.things.push(thing);
        }
        unit.part_circles();
        unit.steps = unit.all_steps();
        unit
    }

    /// A file that was not checked may have parts that ride on each other in a circle.
    fn part_circles(&mut self) {
        for nr in 0..self.things.len() {
            if self.rides_on(nr, nr) {
                self.things[nr].carrier = None;
            }
        }
    }

    fn all_steps(&self) -> BTreeMap<&'f StepId, (Op, &'f Step)> {
        let mut steps = BTreeMap::new();
        let mut add = |op: &dyn Fn(&Step) -> Op, all: &'f [Step]| {
            for step in all {
                steps.insert(&step.id, (op(step), step));
            }
        };
        let file = self.file;
        let check = |of| {
            move |step: &Step| Op::Check {
                of,
                dead: step.before_power,
            }
        };
        add(&|_| Op::MakeSafe, &file.make_safe);
        add(&|_| Op::Start, &file.start);
        add(&check(None), &file.prove);
        add(&|_| Op::HandOver, &file.hand_over);
        for (nr, service) in file.services.iter().enumerate() {
            add(&|_| Op::Serve(nr), &service.steps);
        }
        for (thing, known) in self.things.iter().enumerate() {
            for (nr, (_, leg)) in known.legs.iter().enumerate() {
                add(&|_| Op::Out { thing, leg: nr }, &leg.out);
                add(&|_| Op::Back { thing, leg: nr }, &leg.back);
            }
            let Some(part) = known.part else { continue };
            if let Some(swap) = &part.swap {
                add(&|_| Op::Swap(thing), &swap.steps);
                for piece in &swap.hand_backs {
                    add(&|_| Op::Swap(thing), &piece.steps);
                }
                add(&check(Some(thing)), &swap.prove);
            }
            if let Some(reseat) = &part.reseat {
                add(&|_| Op::Reseat(thing), &reseat.steps);
                add(&check(Some(thing)), &reseat.prove);
            }
            if let Some(inspect) = &part.inspect {
                add(&|_| Op::Inspect(thing), &inspect.steps);
            }
            add(&|_| Op::LeaveOut(thing), &part.leave_out);
        }
        steps
    }

    /// The step and what it belongs to; `None` if the catalog has no such step.
    pub fn step(&self, id: &StepId) -> Option<(Op, &'f Step)> {
        self.steps.get(id).copied()
    }

    pub fn number(&self, id: &PartId) -> Option<ThingNr> {
        self.numbers.get(id).copied()
    }

    pub fn service(&self, nr: usize) -> &'f Service {
        &self.file.services[nr]
    }

    /// The sources that this unit has.
    pub fn sources(&self) -> impl Iterator<Item = (ThingNr, &'f Source)> + '_ {
        let all = self.things.iter().enumerate();
        all.filter_map(|(nr, thing)| Some((nr, thing.source.filter(|_| thing.is_here)?)))
    }

    /// The steps of an operation that apply on this unit, in order.
    pub fn steps_of(&self, op: Op) -> Vec<&'f Step> {
        let part = op.thing().and_then(|thing| self.things[thing].part);
        let all: Vec<&Step> = match op {
            Op::MakeSafe => self.file.make_safe.iter().collect(),
            Op::Start => self.file.start.iter().collect(),
            Op::HandOver => self.file.hand_over.iter().collect(),
            Op::Serve(nr) => self.service(nr).steps.iter().collect(),
            Op::Out { thing, leg } => self.things[thing].legs[leg].1.out.iter().collect(),
            Op::Back { thing, leg } => self.things[thing].legs[leg].1.back.iter().collect(),
            Op::Swap(_) => {
                let swap = part.and_then(|part| part.swap.as_ref());
                let pieces = swap.into_iter().flat_map(|swap| &swap.hand_backs);
                let pieces = pieces.filter(|piece| self.holds(piece.when.as_ref()));
                let steps = swap.into_iter().flat_map(|swap| &swap.steps);
                steps.chain(pieces.flat_map(|piece| &piece.steps)).collect()
            }
            Op::Reseat(_) => {
                let reseat = part.and_then(|part| part.reseat.as_ref());
                reseat
                    .into_iter()
                    .flat_map(|reseat| &reseat.steps)
                    .collect()
            }
            Op::Inspect(_) => {
                let inspect = part.and_then(|part| part.inspect.as_ref());
                inspect
                    .into_iter()
                    .flat_map(|inspect| &inspect.steps)
                    .collect()
            }
            Op::LeaveOut(_) => part.into_iter().flat_map(|part| &part.leave_out).collect(),
            Op::Check { .. } => self.checks().into_iter().collect(),
        };
        all.into_iter().filter(|step| self.applies(step)).collect()
    }

    /// The checks that this job asks for: of the parts that it replaces or reseats, and of the
    /// unit.
    fn checks(&self) -> Vec<&'f Step> {
        let tasks = self.case.tasks.iter().chain(&self.case.start.done);
        let part = |id: &PartId| self.things[self.number(id)?].part;
        let of_parts = tasks.flat_map(|task| {
            let prove = match task {
                Task::Replace(id) => part(id).and_then(|part| Some(&part.swap.as_ref()?.prove)),
                Task::Reseat(id) => part(id).and_then(|part| Some(&part.reseat.as_ref()?.prove)),
                Task::Inspect(_) | Task::Serve(_) | Task::LeaveOut(_) => None,
            };
            prove.into_iter().flatten()
        });
        of_parts.chain(&self.file.prove).collect()
    }

    pub fn applies(&self, step: &Step) -> bool {
        self.holds(step.when.as_ref())
    }

    /// The hazards of a step on this unit.
    pub fn hazards_of(&self, step: &'f Step) -> impl Iterator<Item = &'f Hazard> + '_ {
        let known = step.hazards.iter().filter_map(|id| self.hazards.get(id));
        known
            .copied()
            .filter(|hazard| self.holds(hazard.when.as_ref()))
    }

    /// Whether a condition holds on this unit, in this job.
    pub fn holds(&self, condition: Option<&ConditionEntry>) -> bool {
        use lidoff_catalog::format::Condition::{All, Answer, Any, Fitted, Not, Replaced};
        let Some(condition) = condition else {
            return true;
        };
        match condition {
            All(all) => all.iter().all(|one| self.holds(Some(one))),
            Any(any) => any.iter().any(|one| self.holds(Some(one))),
            Not(one) => !self.holds(Some(one)),
            Fitted(option) => self.case.configuration.fitted.contains(option),
            Answer { question, is } => {
                let assumed = || {
                    let mut questions = self.file.questions.iter();
                    Some(&questions.find(|one| one.id == *question)?.assumed)
                };
                let given = self.case.configuration.answers.get(question);
                given.or_else(assumed) == Some(is)
            }
            Replaced(part) => {
                let mut tasks = self.case.tasks.iter().chain(&self.case.start.done);
                tasks.any(|task| matches!(task, Task::Replace(of) if of == part))
            }
        }
    }

    /// Whether this job closes the unit without some part, so that nothing is made live again.
    pub fn is_out_of_use(&self) -> bool {
        let mut tasks = self.case.tasks.iter().chain(&self.case.start.done);
        tasks.any(|task| matches!(task, Task::LeaveOut(_)))
    }

    /// Whether the job leaves out this part, or one that it rides on.
    pub fn leaves_out(&self, nr: ThingNr, tasks: &[Task]) -> bool {
        tasks.iter().any(|task| match task {
            Task::LeaveOut(id) => {
                let left = self.number(id);
                left.is_some_and(|left| left == nr || self.rides_on(nr, left))
            }
            _ => false,
        })
    }

    /// Whether a part or source need not be back at the end.
    pub fn stays_off(&self, nr: ThingNr) -> bool {
        let case = self.case;
        self.leaves_out(nr, &case.tasks)
            || self.leaves_out(nr, &case.start.done)
            || (self.is_out_of_use() && self.things[nr].source.is_some())
    }

    /// Whether a part rides on another, directly or through others.
    pub fn rides_on(&self, rider: ThingNr, carrier: ThingNr) -> bool {
        let next = |nr: &ThingNr| self.things[*nr].carrier;
        let mut seen = std::iter::successors(next(&rider), next).take(self.things.len());
        seen.any(|one| one == carrier)
    }

    /// The sources that must be isolated for an operation on a part, or for a service.
    pub fn isolated_for(&self, op: Op) -> Vec<ThingNr> {
        let thing = op.thing().map(|nr| &self.things[nr]);
        let part = thing.and_then(|thing| thing.part);
        let (exceptions, more): (&[PartId], &[PartId]) = match (op, part) {
            (Op::Out { leg, .. } | Op::Back { leg, .. }, Some(part)) => {
                let leg = thing.map(|thing| thing.legs[leg].1);
                (&part.may_be_live, leg.map_or(&[], |leg| &leg.may_be_live))
            }
            (Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::LeaveOut(_), Some(part)) => {
                (&part.may_be_live, &[])
            }
            (Op::Serve(nr), _) => (&self.service(nr).may_be_live, &self.service(nr).live),
            _ => return Vec::new(),
        };
        let reaches = |source: &Source| match (&source.reach, part) {
            (None, _) => true,
            (Some(reach), Some(part)) => reach.contains(&part.id),
            (Some(_), None) => false,
        };
        let needed = self.sources().filter(|(_, source)| {
            reaches(source) && !exceptions.contains(&source.id) && !more.contains(&source.id)
        });
        needed.map(|(nr, _)| nr).collect()
    }

    /// The parts named in a formula that would have to change for it to hold.
    pub fn named_in<C>(&self, formula: &Formula<PartId, C>) -> BTreeSet<ThingNr> {
        match formula {
            Formula::All(of) | Formula::Any(of) => {
                of.iter().flat_map(|one| self.named_in(one)).collect()
            }
            Formula::Eased(id) | Formula::Off(id) | Formula::Clear(id) | Formula::InPlace(id) => {
                self.number(id).into_iter().collect()
            }
            Formula::When { then, .. } => self.named_in(then),
            Formula::Closed => BTreeSet::new(),
        }
    }

    /// How the operation is called in a sentence.
    pub fn name_of(&self, op: Op) -> String {
        match (op, op.thing()) {
            (Op::Serve(nr), _) => localize(&self.service(nr).name).into_owned(),
            (_, Some(thing)) => self.things[thing].name.clone(),
            _ => localize(&self.file.unit.name).into_owned(),
        }
    }
}
