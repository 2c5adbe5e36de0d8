//! Good practice: what is in a plan, in which order, and what is done for the bin.

use lidoff_catalog::format::{Element, FaceId, Leg, Motion, PartId, ServiceId, Step};
use lidoff_i18n::tr;

use super::case::Task;
use super::op::{Op, ThingNr};
use super::rule::Rule;
use super::runs::{Effect, Report, Run, name_step};
use super::state::{Position, State};
use super::unit::{LegKind, Unit};

pub(crate) fn check(unit: &Unit, runs: &[Run], report: &mut Report) {
    check_tasks(unit, runs, report);
    check_fixed_steps(unit, runs, report);
    check_phases(unit, runs, report);
    check_waste(unit, runs, report);
    check_single_use(unit, runs, report);
    check_turns(unit, runs, report);
}

/// The operations of these tasks, and of the services that the replacements among them need.
fn operations<'t>(unit: &Unit, tasks: impl Iterator<Item = &'t Task>) -> Vec<Op> {
    let part = |id: &PartId| unit.number(id);
    let service = |id: &ServiceId| {
        let mut all = unit.file.services.iter();
        let nr = all.position(|one| one.id == *id)?;
        unit.holds(unit.service(nr).when.as_ref())
            .then_some(Op::Serve(nr))
    };
    let mut ops = Vec::new();
    for task in tasks {
        match task {
            Task::Replace(id) => {
                let swap = part(id).and_then(|nr| unit.things[nr].part?.swap.as_ref());
                let by_itself = part(id).filter(|nr| !comes_new(unit, *nr));
                ops.extend(by_itself.map(Op::Swap));
                let services = swap.into_iter().flat_map(|swap| &swap.services);
                ops.extend(services.filter_map(service));
            }
            Task::Reseat(id) => ops.extend(part(id).map(Op::Reseat)),
            Task::Inspect(id) => ops.extend(part(id).map(Op::Inspect)),
            Task::Serve(id) => ops.extend(service(id)),
            Task::LeaveOut(id) => ops.extend(part(id).map(Op::LeaveOut)),
        }
    }
    ops
}

/// Whether a part comes new with a part that it rides on and that is to be replaced, too.
fn comes_new(unit: &Unit, nr: ThingNr) -> bool {
    let mut below = vec![nr];
    while let Some(carrier) = unit.things[below[below.len() - 1]].carrier {
        let id = unit.things[carrier].id;
        let swap = unit.things[carrier]
            .part
            .and_then(|part| part.swap.as_ref());
        let moves =
            |nr: &ThingNr| swap.is_some_and(|swap| swap.moves_over.contains(unit.things[*nr].id));
        let is_asked = unit.case.tasks.contains(&Task::Replace(id.clone()));
        if swap.is_some() && is_asked && !below.iter().any(moves) {
            return true;
        }
        below.push(carrier);
    }
    false
}

/// The task work still to be done.
pub(crate) fn due_operations(unit: &Unit) -> Vec<Op> {
    operations(unit, unit.case.tasks.iter())
}

fn check_tasks(unit: &Unit, runs: &[Run], report: &mut Report) {
    let last = unit.case.steps.len().saturating_sub(1);
    let due = due_operations(unit);
    let done = operations(unit, unit.case.start.done.iter());
    // A unit that goes out of use is not made live: what needs that stays undone.
    let can_be_done = |op: &Op| match op {
        Op::Serve(nr) => !unit.is_out_of_use() || unit.service(*nr).live.is_empty(),
        _ => true,
    };
    for (nr, op) in due.iter().enumerate().filter(|(_, op)| can_be_done(op)) {
        let is_named_before = due[..nr].contains(op);
        let is_done = runs.iter().any(|run| run.op == *op);
        if !is_named_before && !is_done && !unit.steps_of(*op).is_empty() && !done.contains(op) {
            report.add(Rule::TaskUndone, last, || {
                tr!(
                    "The plan ends without the work on “{name}” that the job asks for.",
                    name = unit.name_of(*op)
                )
            });
        }
    }
    for (at, run) in runs.iter().enumerate() {
        let (Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) | Op::LeaveOut(_)) =
            run.op
        else {
            continue;
        };
        let is_again = runs[..at].iter().any(|before| before.op == run.op);
        if is_again || !(due.contains(&run.op) || done.contains(&run.op)) {
            report.add(Rule::TaskUndone, run.first, || {
                tr!(
                    "Step {step} does work on “{name}” that the job does not ask for, or not \
                     again.",
                    step = name_step(run.first, run.steps[0]),
                    name = unit.name_of(run.op)
                )
            });
        }
    }
}

fn check_fixed_steps(unit: &Unit, runs: &[Run], report: &mut Report) {
    let works = |run: &Run| match run.op {
        Op::Back { thing, .. } => unit.things[thing].part.is_some(),
        op => op.is_work(),
    };
    if !runs.iter().any(works) {
        return;
    }
    let check = Op::Check {
        of: None,
        dead: false,
    };
    let last = unit.case.steps.len().saturating_sub(1);
    for op in [Op::MakeSafe, Op::Start, check, Op::HandOver] {
        let is_live = |step: &Step| op == Op::Start || (op == check && !step.before_power);
        for step in unit.steps_of(op) {
            // A unit that goes out of use is neither started nor checked under power.
            if unit.is_out_of_use() && is_live(step) {
                continue;
            }
            let made_safe = &unit.case.start.made_safe;
            if !unit.case.steps.contains(&step.id) && !made_safe.contains(&step.id) {
                report.add(Rule::StepLeftOut, last, || {
                    tr!(
                        "The plan leaves out “{step}”, which every job asks for.",
                        step = lidoff_i18n::localize(&step.action)
                    )
                });
            }
        }
    }
}

/// The phases of a plan, in their order.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Stage {
    MakeSafe,
    Work,
    DeadChecks,
    Start,
    PartChecks,
    UnitChecks,
    HandOver,
}

fn check_phases(unit: &Unit, runs: &[Run], report: &mut Report) {
    let energises = |run: &Run| match run.op {
        Op::Back { thing, .. } => unit.things[thing].source.is_some(),
        _ => false,
    };
    let mut reached = Stage::MakeSafe;
    let mut has_energised = None;
    let is_fresh = unit.case.start.is_fresh();
    for run in runs {
        let stage = match run.op {
            Op::MakeSafe => Stage::MakeSafe,
            Op::Check { dead: true, .. } => Stage::DeadChecks,
            Op::Start => Stage::Start,
            Op::Check { of: Some(_), .. } => Stage::PartChecks,
            Op::Check { of: None, .. } => Stage::UnitChecks,
            Op::HandOver => Stage::HandOver,
            _ => Stage::Work,
        };
        let step = || name_step(run.first, run.steps[0]);
        // Sources may be made live after the checks of the dead unit; what is isolated again
        // after an interruption comes before everything else.
        let is_energising = stage == Stage::Work && energises(run) && reached <= Stage::DeadChecks;
        let is_again = !is_fresh && isolates_or_verifies(unit, run) && reached == Stage::MakeSafe;
        if is_energising || is_again {
            if is_energising {
                has_energised = Some(run.first);
            }
            continue;
        }
        match stage {
            Stage::MakeSafe if reached > stage => {
                report.add(Rule::PreparationFirst, run.first, || {
                    tr!(
                        "Step {step} makes the unit safe only after work has begun.",
                        step = step()
                    )
                })
            }
            Stage::DeadChecks if has_energised.is_some() && is_live_from_here(unit, runs, run) => {
                report.add(Rule::CheckBeforePower, run.first, || {
                    tr!(
                        "Step {step} is to be done before the unit is live, but it is live by \
                         then.",
                        step = step()
                    )
                });
            }
            _ if stage < reached => report.add(Rule::OrderOfChecks, run.first, || {
                tr!(
                    "Step {step} comes after checks or steps that it should come before.",
                    step = step()
                )
            }),
            _ => {}
        }
        reached = reached.max(stage);
    }
}

fn isolates_or_verifies(unit: &Unit, run: &Run) -> bool {
    matches!(run.op, Op::Out { thing, .. } if unit.things[thing].source.is_some())
}

/// Whether all sources that this plan makes live were live for the last time before this run.
fn is_live_from_here(unit: &Unit, runs: &[Run], run: &Run) -> bool {
    let energises_later = |later: &Run| match later.op {
        Op::Back { thing, .. } => later.first > run.first && unit.things[thing].source.is_some(),
        _ => false,
    };
    !runs.iter().any(energises_later)
}

/// Whether replacing `carrier` discards `part`.
fn is_discarded_with(unit: &Unit, part: ThingNr, carrier: ThingNr) -> bool {
    let swap = unit.things[carrier]
        .part
        .and_then(|part| part.swap.as_ref());
    let moves = |nr: ThingNr| swap.is_some_and(|swap| swap.moves_over.contains(unit.things[nr].id));
    let next = |nr: &ThingNr| unit.things[*nr].carrier.filter(|next| *next != carrier);
    part == carrier
        || unit.rides_on(part, carrier) && !std::iter::successors(Some(part), next).any(moves)
}

fn check_waste(unit: &Unit, runs: &[Run], report: &mut Report) {
    for (at, run) in runs.iter().enumerate() {
        let Some(part) = run.op.thing() else { continue };
        let swapped = runs[at + 1..].iter().filter_map(|later| match later.op {
            Op::Swap(of) => Some(of),
            _ => None,
        });
        let mut swapped = swapped.filter(|of| *of == part || unit.rides_on(part, *of));
        let bin = swapped
            .clone()
            .find(|of| is_discarded_with(unit, part, *of));
        let comes_off_again = match run.op {
            Op::Back { .. } => swapped.next(),
            Op::Reseat(_) => bin,
            _ => None,
        };
        for (nr, step) in (run.first..).zip(&run.steps) {
            let cleans = step
                .elements
                .iter()
                .any(|one| one.element == Element::Clean);
            let is_way_out = matches!(run.op, Op::Out { .. } | Op::Reseat(_));
            if let Some(of) = bin.filter(|_| cleans && is_way_out) {
                report.add(Rule::CleanedForTheBin, nr, || {
                    tr!(
                        "Step {step} cleans “{name}”, which is discarded when “{of}” is replaced.",
                        step = name_step(nr, step),
                        name = unit.things[part].name,
                        of = unit.things[of].name
                    )
                });
            } else if let Some(of) = comes_off_again.filter(|_| !step.uses.is_empty()) {
                report.add(Rule::ConsumableWasted, nr, || {
                    tr!(
                        "Step {step} uses a consumable on “{name}” before “{of}” is replaced, so it is wasted.",
                        step = name_step(nr, step),
                        name = unit.things[part].name,
                        of = unit.things[of].name
                    )
                });
            }
        }
    }
}

fn check_single_use(unit: &Unit, runs: &[Run], report: &mut Report) {
    let is_single_use = |id: &lidoff_catalog::format::FasteningId| {
        let mut sets = unit.file.parts.iter().flat_map(|part| &part.fastenings);
        let set = sets.find(|one| one.id == *id && unit.holds(one.when.as_ref()));
        let mut kinds = unit.file.fasteners.iter();
        set.and_then(|set| kinds.find(|kind| kind.id == set.fastener))
            .is_some_and(|kind| kind.single_use)
    };
    for run in runs {
        let uses_new = run.steps.iter().any(|step| !step.uses.is_empty());
        for (nr, step) in (run.first..).zip(&run.steps) {
            if let Some(set) = step.redo.iter().find(|id| !uses_new && is_single_use(id)) {
                report.add(Rule::SingleUse, nr, || {
                    tr!(
                        "Step {step} refits “{set}”, which are single-use, without using new ones.",
                        step = name_step(nr, step),
                        set = set
                    )
                });
            }
        }
    }
}

/// Finds turns of the unit onto a side where something is open.
fn check_turns(unit: &Unit, runs: &[Run], report: &mut Report) {
    let mut state = State::at_start(unit);
    let mut up: Option<&FaceId> = unit.file.faces.first().map(|face| &face.id);
    for run in runs {
        for (nr, step) in (run.first..).zip(&run.steps) {
            let Some(next) = step
                .face
                .as_ref()
                .filter(|_| is_in_unit(unit, &state, run.op))
            else {
                continue;
            };
            if let Some(name) = up.and_then(|up| open_below(unit, &state, up, next, step)) {
                report.add(Rule::TurnedOpen, nr, || {
                    tr!(
                        "Step {step} turns the unit onto the side where “{name}” is open, and no \
                         words say what to do about it.",
                        step = name_step(nr, step),
                        name = name
                    )
                });
            }
            up = Some(next);
        }
        if run.effect == Effect::Completes {
            state.apply(unit, run.op);
        }
    }
}

/// Whether the operation is done to the unit itself, and not to something that is out of it.
fn is_in_unit(unit: &Unit, state: &State, op: Op) -> bool {
    let Some(thing) = op.thing() else { return true };
    let is_out = state.is_away(unit, thing) != Some(false);
    match op {
        Op::Out { leg, .. } | Op::Back { leg, .. } => {
            !is_out && unit.things[thing].legs[leg].0 != LegKind::Bench
        }
        Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) => {
            !is_out && state.of(thing) == Some(Position::Fitted)
        }
        _ => true,
    }
}

/// The name of what is open on the side that goes down, if no words speak of it.
fn open_below(
    unit: &Unit,
    state: &State,
    up: &FaceId,
    next: &FaceId,
    step: &Step,
) -> Option<String> {
    let face = |id: &FaceId| unit.file.faces.iter().find(|face| face.id == *id);
    let (down, next) = (face(up)?, face(next)?);
    let lies_on = |one: &lidoff_catalog::format::Face, other: &FaceId| {
        one.opposite.as_ref().is_some_and(|of| of.face == *other)
    };
    let is_turn = !matches!(
        next.motion,
        Some(Motion::Walk | Motion::LookDown | Motion::LookUp)
    );
    if !is_turn || !(lies_on(down, &next.id) || lies_on(next, &down.id)) {
        return None;
    }
    let texts = [Some(&next.turn), Some(&step.action), step.how.as_ref()];
    let texts: String = texts
        .into_iter()
        .flatten()
        .map(|text| text.to_lowercase())
        .collect();
    let shown = down
        .features
        .iter()
        .filter_map(|feature| feature.part.as_ref());
    let mut open = shown.filter_map(|id| unit.number(id)).filter(|nr| {
        let is_open = matches!(state.of(*nr), Some(Position::Eased | Position::Off));
        let name = unit.things[*nr].part.map(|part| part.name.to_lowercase());
        let is_named = name.is_some_and(|name| {
            let mut words = name.split_whitespace();
            words.any(|word| word.len() > 3 && texts.contains(word))
        });
        is_open && !is_named && is_cover(unit, *nr) && state.is_away(unit, *nr) == Some(false)
    });
    open.next().map(|nr| unit.things[nr].name.clone())
}

/// Whether much comes off only once this is open.
fn is_cover(unit: &Unit, nr: ThingNr) -> bool {
    let lies_behind = |leg: &Leg| unit.named_in(&leg.needs).contains(&nr);
    let behind = unit.things.iter();
    let behind = behind.filter(|thing| thing.legs.iter().any(|(_, leg)| lies_behind(leg)));
    behind.count() > 4
}
