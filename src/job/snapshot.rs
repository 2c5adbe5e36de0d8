//! Writes a plan as text: make safe, the operation in progress, the planner's
//! operations, prove, hand over, each step with all that is needed to read it later.

use std::collections::BTreeSet;

use lidoff_catalog::format::{
    Asked, Hazard, HazardId, KitClass, KitId, OnFailure, StartsWait, Text,
};
use lidoff_catalog::model::{
    Catalog, ConnectionIx, FasteningIx, Part, PartIx, PlacedFastening, StepIx, Swap,
};
use lidoff_catalog::setup::Setup;
use lidoff_estimate::Estimate;
use lidoff_estimate::band::Band;
use lidoff_planner::{Op, Phase, Plan, Prices, Proof, Task, Tenths, UnitState};

use super::planned::{
    Cable, FastenerSize, Fasteners, HandBackPiece, JobPhase, MayNeed, OldPart, PlanSnapshot,
    PlannedStep, PowerSource, RestsOn, Used, WaitStarted, fastener_details,
};
use super::refs::OpRef;
use super::walk::{StepCosts, StepWalk};

/// Steps before and after the planner's operations, which the planner does not see.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FixedSteps {
    /// Make-safe steps, in the catalog's order.
    pub make_safe: Vec<StepIx>,
    /// Checks of the closed unit before it is made live, each with the part that it tests,
    /// if any.
    pub prove_dead: Vec<(Option<PartIx>, StepIx)>,
    /// What starts the unit, and the checks after that.
    pub prove: Vec<(Option<PartIx>, StepIx)>,
    /// Hand-over steps.
    pub hand_over: Vec<StepIx>,
}

impl FixedSteps {
    /// All fixed steps: make safe; the checks before the unit is live; its start, the checks
    /// of each task's part, those of the whole unit; hand over. Steps that do not apply to
    /// this unit are left out. A unit that goes out of use is neither started nor checked
    /// under power.
    pub fn whole(catalog: &Catalog, setup: &Setup, tasks: &[Task]) -> Self {
        let applies = |step: &StepIx| setup.holds(&catalog.step(*step).when);
        let here = |steps: &[StepIx]| steps.iter().copied().filter(applies).collect::<Vec<_>>();
        let mut checks = Vec::new();
        for task in tasks {
            let (part, steps) = match *task {
                Task::Replace(part) => {
                    let swap = catalog.part(part).swap.as_ref();
                    (part, swap.map(|swap| &swap.prove))
                }
                Task::Reseat(part) => {
                    let reseat = catalog.part(part).reseat.as_ref();
                    (part, reseat.map(|reseat| &reseat.prove))
                }
                Task::Inspect(_) | Task::Serve(_) | Task::LeaveOut(_) => continue,
            };
            for step in steps.map(|steps| here(steps)).unwrap_or_default() {
                if !checks.contains(&(Some(part), step)) {
                    checks.push((Some(part), step));
                }
            }
        }
        let alone = |step| (None, step);
        checks.extend(here(catalog.prove()).into_iter().map(alone));
        let is_dead = |(_, step): &(_, StepIx)| catalog.step(*step).entry.before_power;
        let (prove_dead, live) = checks.into_iter().partition::<Vec<_>, _>(is_dead);
        let start = here(catalog.start()).into_iter().map(alone);
        let leaves_out = |task: &Task| matches!(task, Task::LeaveOut(_));
        // A unit that goes out of use is not started.
        let prove = match setup.is_out_of_use() || tasks.iter().any(leaves_out) {
            true => Vec::new(),
            false => start.chain(live).collect(),
        };
        Self {
            make_safe: here(catalog.make_safe()),
            prove_dead,
            prove,
            hand_over: here(catalog.hand_over()),
        }
    }
}

/// An operation in progress that must be finished first.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct StartedOperation {
    /// The operation.
    pub op: Op,
    /// Its steps still to be done: each with its placement in the operation, from 1.
    pub steps: Vec<(u16, StepIx)>,
    /// Number of steps of the whole operation.
    pub of: u16,
}

/// Steps that come before everything else: a source is isolated again, or its isolation
/// verified again.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct FirstSteps {
    /// The operation that isolates the source.
    pub op: Op,
    /// Its steps.
    pub steps: Vec<StepIx>,
    /// Whether that isolates the source; else it only verifies.
    pub isolates: bool,
}

/// The input for a snapshot.
#[derive(Clone, Copy, Debug)]
pub struct SnapshotInput<'a> {
    /// The unit.
    pub catalog: &'a Catalog,
    /// The configuration of the unit and the answers so far.
    pub setup: &'a Setup,
    /// The times and costs.
    pub prices: &'a Prices,
    /// The state that the unit is in now.
    pub now: &'a UnitState,
    /// What comes before everything else.
    pub first: &'a [FirstSteps],
    /// The operation to finish first.
    pub in_hand: Option<&'a StartedOperation>,
    /// The planner's plan.
    pub plan: &'a Plan,
    /// The fixed steps before and after.
    pub ends: &'a FixedSteps,
    /// Number of the first step.
    pub first_number: u32,
    /// Parts to be replaced that come new with another one.
    pub comes_new: &'a [ComesNew],
}

/// A part that is to be replaced and comes new with the replaced part that it rides on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ComesNew {
    /// The part.
    pub rider: PartIx,
    /// The part that it comes with.
    pub module: PartIx,
}

/// Writes a plan as a snapshot.
pub fn snapshot(input: &SnapshotInput) -> PlanSnapshot {
    let mut writer = SnapshotWriter {
        input,
        walk: StepWalk::from(input.catalog, input.prices, input.now),
        steps: Vec::new(),
        total: 0,
        early: Vec::new(),
    };
    writer.write();
    let SnapshotWriter { steps, total, .. } = writer;
    let at_least = match input.plan.proof {
        Proof::Cheapest => None,
        Proof::AtLeast(bound) => {
            Some(total.saturating_sub(input.plan.cost.total.saturating_sub(bound)))
        }
    };
    PlanSnapshot {
        kit: kit(input, input.setup, &steps, &[]),
        may_need: may_need(input, &steps),
        old_parts: old_parts(input),
        total_s: seconds(total),
        at_least_s: at_least.map(seconds),
        band: Band::from_estimates(steps.iter().flat_map(PlannedStep::estimates)).to_tenths(),
        hazards: named_hazards(input.catalog, &steps),
        sources: sources(input.catalog, input.setup),
        rests_on: rests_on(input.catalog, input.setup),
        steps,
    }
}

/// What the steps of the plan, these other steps and their hazards name, protection first.
fn kit(
    input: &SnapshotInput,
    setup: &Setup,
    steps: &[PlannedStep],
    others: &[StepIx],
) -> Vec<Text> {
    let catalog = input.catalog;
    let planned = steps
        .iter()
        .filter_map(|step| catalog.find_step(step.step.as_str()));
    let named: Vec<&KitId> = planned
        .chain(others.iter().copied())
        .flat_map(|step| {
            let step = catalog.step(step);
            let hazards = step.hazards.iter().map(|at| catalog.hazard(*at));
            let here = hazards.filter(|hazard| setup.holds(&hazard.when));
            let of_hazards = here.flat_map(|hazard| &hazard.entry.kit);
            step.entry.kit.iter().chain(of_hazards)
        })
        .collect();
    let classes = [KitClass::Ppe, KitClass::Site, KitClass::Test].into_iter();
    let kit = classes.flat_map(|class| catalog.kit().iter().filter(move |it| it.class == class));
    let kit = kit.filter(|item| named.contains(&&item.id));
    kit.map(|item| item.name.clone()).collect()
}

/// Kit and consumables that only another answer to an open question needs: a question that a
/// step asks with the part in view.
fn may_need(input: &SnapshotInput, steps: &[PlannedStep]) -> MayNeed {
    let catalog = input.catalog;
    let surely = kit(input, input.setup, steps, &[]);
    let used: BTreeSet<&str> = steps
        .iter()
        .flat_map(|step| step.uses.iter().map(|used| used.consumable.as_str()))
        .collect();
    let in_hand = input.in_hand.iter().map(|started| started.op);
    let ops: Vec<Op> = in_hand
        .chain(input.plan.ops.iter().map(|planned| planned.op))
        .collect();
    let mut possible = MayNeed::default();
    for (at, question) in catalog.questions() {
        if input.setup.is_answered(at) || question.asked == Asked::Before {
            continue;
        }
        for answer in question.answers.iter().map(|answer| &answer.id) {
            let Some(answer) = catalog.find_answer(at, answer.as_str()) else {
                continue;
            };
            let setup = input.setup.clone().answering(at, answer);
            let all: Vec<StepIx> = ops
                .iter()
                .flat_map(|op| op.steps(catalog, &setup))
                .collect();
            for item in kit(input, &setup, steps, &all) {
                if !surely.contains(&item) && !possible.kit.contains(&item) {
                    possible.kit.push(item);
                }
            }
            add_uses(catalog, &all, &used, &mut possible.uses);
        }
    }
    possible
}

/// Adds what these steps use, as far as nothing is known to use it: the most of each that one
/// answer takes.
fn add_uses(catalog: &Catalog, steps: &[StepIx], known: &BTreeSet<&str>, all: &mut Vec<Used>) {
    let mut here: Vec<Used> = Vec::new();
    for (at, quantity) in steps.iter().flat_map(|step| &catalog.step(*step).uses) {
        let one = catalog.consumable(*at);
        if known.contains(one.id.as_str()) {
            continue;
        }
        match here.iter_mut().find(|used| used.consumable == one.id) {
            Some(used) => used.quantity += quantity,
            None => here.push(Used {
                consumable: one.id.clone(),
                name: one.name.clone(),
                quantity: *quantity,
                unit: one.unit.clone(),
            }),
        }
    }
    for one in here {
        match all
            .iter_mut()
            .find(|used| used.consumable == one.consumable)
        {
            Some(used) => used.quantity = used.quantity.max(one.quantity),
            None => all.push(one),
        }
    }
}

/// What must be done with the old parts of the plan.
fn old_parts(input: &SnapshotInput) -> Vec<OldPart> {
    let in_hand = input.in_hand.iter().map(|started| started.op);
    let ops = in_hand.chain(input.plan.ops.iter().map(|planned| planned.op));
    let old = ops.filter_map(|op| {
        let (Op::Swap(part) | Op::LeaveOut(part)) = op else {
            return None;
        };
        let part = input.catalog.part(part);
        let spare = input.catalog.spare(part.swap.as_ref()?.spare?);
        Some(OldPart::all(&part.id, &part.name, spare))
    });
    old.flatten().collect()
}

/// Rounds to this fraction of one.
fn rounded(value: f64, parts: f64) -> f64 {
    (value * parts).round() / parts
}

/// Tenths as seconds.
fn seconds(tenths: Tenths) -> f64 {
    f64::from(tenths) / 10.0
}

fn named_hazards(catalog: &Catalog, steps: &[PlannedStep]) -> Vec<Hazard> {
    let named: BTreeSet<&HazardId> = steps.iter().flat_map(|step| &step.hazards).collect();
    let all = catalog.hazards().map(|(_, hazard)| &hazard.entry);
    all.filter(|hazard| named.contains(&hazard.id))
        .cloned()
        .collect()
}

fn sources(catalog: &Catalog, setup: &Setup) -> Vec<PowerSource> {
    let here = catalog
        .sources()
        .filter(|(_, part)| setup.holds(&part.when));
    here.filter_map(|(_, part)| {
        let source = part.source.as_ref()?;
        Some(PowerSource {
            id: part.id.clone(),
            name: part.name.clone(),
            isolated: source.isolated.clone(),
            live: source.live.clone(),
            fed_by: source.fed_by.clone(),
            verify_after_minutes: source.verify_after_minutes,
        })
    })
    .collect()
}

fn rests_on(catalog: &Catalog, setup: &Setup) -> Vec<RestsOn> {
    catalog
        .questions()
        .filter_map(|(at, question)| {
            let answer = question.answers.get(setup.answer(at).index())?;
            Some(RestsOn {
                question: question.id.clone(),
                text: question.text.clone(),
                answer: answer.id.clone(),
                answer_text: answer.text.clone(),
                given: setup.is_answered(at),
            })
        })
        .collect()
}

/// Writes a snapshot.
struct SnapshotWriter<'a> {
    input: &'a SnapshotInput<'a>,
    walk: StepWalk<'a>,
    steps: Vec<PlannedStep>,
    total: Tenths,
    /// Operations without a step of their own, before there is any step that
    /// could complete them.
    early: Vec<OpRef>,
}

/// The place of a step in its operation.
struct Placement {
    phase: JobPhase,
    op: Option<Op>,
    part: Option<PartIx>,
    nth: u16,
    of: u16,
}

impl SnapshotWriter<'_> {
    fn write(&mut self) {
        let input = self.input;
        let alone = |steps: &[StepIx]| steps.iter().map(|step| (None, *step)).collect::<Vec<_>>();
        let numbered = |steps: &[StepIx]| (1..).zip(steps.iter().copied()).collect::<Vec<_>>();
        let ends = input.ends;
        for first in input.first {
            if first.isolates {
                self.op(first.op, &numbered(&first.steps), count(first.steps.len()));
            } else {
                let source = first.op.part();
                let steps: Vec<_> = first.steps.iter().map(|step| (source, *step)).collect();
                let before = self.steps.len();
                self.end(JobPhase::Isolate, &steps, 0, steps.len());
                let id = source.map(|source| input.catalog.part(source).id.clone());
                for step in &mut self.steps[before..] {
                    step.on_failure = id.clone().map(OnFailure::Isolate);
                }
            }
        }
        let make_safe = alone(&ends.make_safe);
        self.end(JobPhase::MakeSafe, &make_safe, 0, make_safe.len());
        let (before, energising) = input.plan.ops.split_at(self.first_of_last_energising());
        let checks = ends.prove_dead.len() + ends.prove.len();
        let is_energising = |one: &StartedOperation| self.job_phase(one.op) == JobPhase::Energise;
        let energises_at_once = before.is_empty() && input.in_hand.is_some_and(is_energising);
        if energises_at_once {
            self.end(JobPhase::Prove, &ends.prove_dead, 0, checks);
        }
        if let Some(StartedOperation { op, steps, of }) = input.in_hand {
            self.op(*op, steps, *of);
        }
        for planned in before {
            let steps = numbered(&planned.steps);
            self.op(planned.op, &steps, count(steps.len()));
        }
        if !energises_at_once {
            self.end(JobPhase::Prove, &ends.prove_dead, 0, checks);
        }
        for planned in energising {
            let steps = numbered(&planned.steps);
            self.op(planned.op, &steps, count(steps.len()));
        }
        self.end(JobPhase::Prove, &ends.prove, ends.prove_dead.len(), checks);
        let hand_over = alone(&ends.hand_over);
        self.end(JobPhase::HandOver, &hand_over, 0, hand_over.len());
    }

    /// Where the operations begin that do nothing but make sources live, at the end.
    fn first_of_last_energising(&self) -> usize {
        let ops = &self.input.plan.ops;
        let last = ops
            .iter()
            .rposition(|planned| self.job_phase(planned.op) != JobPhase::Energise);
        last.map_or(0, |last| last + 1)
    }

    fn job_phase(&self, op: Op) -> JobPhase {
        let part = op.part().map(|part| self.input.catalog.part(part));
        let is_source = part.is_some_and(Part::is_source);
        match op.phase() {
            Phase::StripDown if is_source => JobPhase::Isolate,
            Phase::StripDown => JobPhase::StripDown,
            Phase::Fit => JobPhase::Fit,
            Phase::Refit if is_source => JobPhase::Energise,
            Phase::Refit => JobPhase::Refit,
        }
    }

    /// Steps of no operation; the first is number `before + 1` of `all` steps.
    fn end(
        &mut self,
        phase: JobPhase,
        steps: &[(Option<PartIx>, StepIx)],
        before: usize,
        all: usize,
    ) {
        for (nth, (part, step)) in (before + 1..).zip(steps) {
            let placement = Placement {
                phase,
                op: None,
                part: *part,
                nth: count(nth),
                of: count(all),
            };
            self.push(*step, &placement);
        }
    }

    fn op(&mut self, op: Op, steps: &[(u16, StepIx)], of: u16) {
        let phase = self.job_phase(op);
        for (nth, step) in steps {
            let placement = Placement {
                phase,
                op: Some(op),
                part: op.part(),
                nth: *nth,
                of,
            };
            self.push(*step, &placement);
        }
        let comes_new = self.input.comes_new.iter();
        let with_it = comes_new.filter(|one| Op::Swap(one.module) == op);
        let all = std::iter::once(op).chain(with_it.map(|one| Op::Swap(one.rider)));
        let completed = all.map(|op| OpRef::from_op(self.input.catalog, op));
        match self.steps.last_mut() {
            Some(last) => last.completes.extend(completed),
            None => self.early.extend(completed),
        }
    }

    fn push(&mut self, at: StepIx, placement: &Placement) {
        let costs = self.walk.step(at);
        self.total = self.total.saturating_add(costs.total());
        let offset = u32::try_from(self.steps.len()).unwrap_or(u32::MAX);
        let number = self.input.first_number.saturating_add(offset);
        let mut step = describe(self.input, at, placement, costs, number);
        step.completes = std::mem::take(&mut self.early);
        self.steps.push(step);
    }
}

fn count(many: usize) -> u16 {
    u16::try_from(many).unwrap_or(u16::MAX)
}

fn describe(
    input: &SnapshotInput,
    at: StepIx,
    placement: &Placement,
    costs: StepCosts,
    number: u32,
) -> PlannedStep {
    let SnapshotInput { catalog, setup, .. } = *input;
    let step = catalog.step(at);
    let entry = &step.entry;
    let estimate = Estimate::for_step(step);
    let about = match placement.op {
        Some(Op::Serve(service)) => Some(catalog.service(service).entry.name.clone()),
        _ => placement.part.map(|part| catalog.part(part).name.clone()),
    };
    let fasteners = |all: &[FasteningIx]| {
        let here = all.iter().map(|at| catalog.fastening(*at));
        here.filter(|one| setup.holds(&one.when))
            .map(|one| fasteners(catalog, one))
            .collect()
    };
    let cables = |all: &[ConnectionIx]| all.iter().map(|at| cable(catalog, *at)).collect();
    let hazards = step.hazards.iter().map(|at| catalog.hazard(*at));
    let uses = step.uses.iter().map(|(consumable, quantity)| {
        let consumable = catalog.consumable(*consumable);
        Used {
            consumable: consumable.id.clone(),
            name: consumable.name.clone(),
            quantity: *quantity,
            unit: consumable.unit.clone(),
        }
    });
    PlannedStep {
        number,
        step: entry.id.clone(),
        phase: placement.phase,
        op: placement.op.map(|op| OpRef::from_op(catalog, op)),
        nth: placement.nth,
        of: placement.of,
        completes: Vec::new(),
        about,
        action: entry.action.clone(),
        how: entry.how.clone(),
        tool: step.tool.map(|tool| catalog.tool(tool).name.clone()),
        tool_instead: {
            let tool = step.tool.map(|tool| catalog.tool(tool));
            let instead = tool.into_iter().flat_map(|tool| &tool.instead);
            let tools = instead.filter_map(|id| catalog.tools().find(|(_, tool)| tool.id == *id));
            tools.map(|(_, tool)| tool.name.clone()).collect()
        },
        people: {
            let hazards = step.hazards.iter().map(|at| catalog.hazard(*at));
            let here = hazards.filter(|hazard| setup.holds(&hazard.when));
            let demanded = here.map(|hazard| hazard.entry.people());
            demanded.fold(entry.people.unwrap_or(1), u8::max)
        },
        kit: {
            let kit = catalog.kit().iter();
            let here = kit.filter(|item| entry.kit.contains(&item.id));
            here.map(|item| item.name.clone()).collect()
        },
        face: step.face.map(|face| catalog.face(face).name.clone()),
        tool_change: costs.tool_change,
        turn: costs.turn,
        work_s: seconds(costs.work),
        // Three decimals are enough for a spread.
        cv: rounded(estimate.cv, 1000.0),
        measured: entry.measured.is_some(),
        elements: entry.elements.clone(),
        catalog_s: step
            .learned
            .map_or(0.0, |_| rounded(Estimate::from_entry(entry).seconds, 10.0)),
        seen: step.learned.map_or(0, |learned| learned.n.max(1)),
        change_s: seconds(costs.change),
        wait_s: seconds(costs.wait),
        undo: fasteners(&step.undo),
        redo: fasteners(&step.redo),
        unplug: cables(&step.unplug),
        plug: cables(&step.plug),
        hazards: hazards
            .filter(|hazard| setup.holds(&hazard.when))
            .map(|hazard| hazard.entry.id.clone())
            .collect(),
        uses: uses.collect(),
        hand_back: placement.op.and_then(|op| hand_back(catalog, op, at)),
        asks: step.asks.map(|at| catalog.question(at).id.clone()),
        reading: entry.reading.clone(),
        on_failure: entry.on_failure.clone(),
        records: entry.records.clone(),
        confirm: entry.confirm.clone(),
        starts_wait: entry.starts_wait.as_ref().map(wait_started),
        after_wait: entry.after_wait.clone(),
        starts_limit: entry.starts_limit.as_ref().map(wait_started),
        ends_limit: entry.ends_limit.clone(),
    }
}

fn wait_started(wait: &StartsWait) -> WaitStarted {
    WaitStarted {
        id: wait.id.clone(),
        text: wait.text.clone(),
        seconds: wait.seconds,
    }
}

fn fasteners(catalog: &Catalog, one: &PlacedFastening) -> Fasteners {
    let kind = catalog.fastener(one.fastener);
    let part = catalog.part(one.part);
    let thread = kind.thread.as_deref();
    let is_named = thread.is_some_and(|thread| kind.name.contains(thread));
    let is_sized = thread.is_some() || kind.length_mm.is_some();
    let size = (is_sized && !is_named).then(|| FastenerSize {
        thread: kind.thread.clone(),
        length_mm: kind.length_mm,
    });
    Fasteners {
        fastening: one.entry.id.clone(),
        kind: kind.id.clone(),
        name: kind.name.clone(),
        size,
        part: part.id.clone(),
        part_name: part.name.clone(),
        count: one.entry.count,
        well: one.entry.well,
        captive: kind.captive,
        single_use: kind.single_use,
        details: fastener_details(kind),
        torque: one.entry.torque.or(kind.torque),
    }
}

fn cable(catalog: &Catalog, at: ConnectionIx) -> Cable {
    let connection = catalog.connection(at);
    Cable {
        connection: connection.id.clone(),
        cable: connection.cable.clone(),
        port: connection.port.clone(),
        unseen_swap: connection.unseen_swap.clone(),
    }
}

/// The reused piece that a step of this operation moves, if it moves one.
fn hand_back(catalog: &Catalog, op: Op, step: StepIx) -> Option<HandBackPiece> {
    let Op::Swap(part) = op else { return None };
    let Swap { hand_backs, .. } = catalog.part(part).swap.as_ref()?;
    let piece = hand_backs.iter().find(|one| one.steps.contains(&step))?;
    Some(HandBackPiece {
        id: piece.id.clone(),
        name: piece.name.clone(),
    })
}
