//! How sources are isolated, proven and made live.

use lidoff_catalog::format::{Demand, Element, OnFailure, SourceKind, Step, ToolKind};
use lidoff_i18n::{localize, tr};

use super::op::{Op, ThingNr};
use super::rule::Rule;
use super::runs::{Effect, Report, Run, name_step};
use super::state::{Position, State};
use super::unit::Unit;

pub(crate) fn check(unit: &Unit, runs: &[Run], report: &mut Report) {
    let mut state = State::at_start(unit);
    for run in runs {
        let is_whole = run.effect == Effect::Completes
            && unit
                .steps_of(run.op)
                .iter()
                .map(|step| &step.id)
                .eq(run.steps.iter().map(|step| &step.id));
        match run.op {
            Op::Out { thing, .. } if unit.things[thing].source.is_some() && is_whole => {
                check_isolation(unit, run, thing, report);
            }
            Op::Back { thing, leg } if unit.things[thing].source.is_some() && is_whole => {
                check_release(unit, run, thing, leg, report);
            }
            _ => {}
        }
        check_demands(unit, run, report);
        check_doubts(unit, &state, run, report);
        if run.effect == Effect::Completes {
            state.apply(unit, run.op);
        }
    }
}

fn uses_lock(unit: &Unit, step: &Step) -> bool {
    let mut tools = unit.file.tools.iter();
    let tool = tools.find(|tool| Some(&tool.id) == step.tool.as_ref());
    tool.is_some_and(|tool| tool.kind == Some(ToolKind::Lock))
}

/// Whether it pulls a plug, which then is in the hands of the one who works.
fn pulls_plug(step: &Step) -> bool {
    let is_plug = |element| matches!(element, Element::PlugOut | Element::ScrewedPlugOut);
    !step.unplug.is_empty() || step.elements.iter().any(|one| is_plug(one.element))
}

fn check_isolation(unit: &Unit, run: &Run, thing: ThingNr, report: &mut Report) {
    let name = &unit.things[thing].name;
    let Some(source) = unit.things[thing].source else {
        return;
    };
    let acts = |step: &Step| {
        let switches = step.elements.iter().any(|one| {
            matches!(
                one.element,
                Element::Switch | Element::PlugOut | Element::ScrewedPlugOut
            )
        });
        let is_gear = step
            .elements
            .iter()
            .any(|one| one.element == Element::Protect);
        !is_gear
            && (uses_lock(unit, step)
                || !step.unplug.is_empty()
                || !step.undo.is_empty()
                || switches)
    };
    let read = run.steps.iter().rposition(|step| step.reading.is_some());
    let acted = run
        .steps
        .iter()
        .rposition(|step| acts(step) && step.reading.is_none());
    match (read, acted) {
        (None, _) => report.add(Rule::IsolationUnproven, run.last(), || {
            tr!(
                "“{name}” is isolated with step {step}, but no reading proves it before the work.",
                name = name,
                step = name_step(run.last(), run.steps[run.steps.len() - 1])
            )
        }),
        (Some(read), Some(acted)) if acted > read => {
            report.add(Rule::ProofTooEarly, run.first + acted, || {
                tr!(
                    "Step {step} acts on “{name}” after the reading that is to prove its isolation.",
                    step = name_step(run.first + acted, run.steps[acted]),
                    name = name
                )
            });
        }
        _ => {}
    }
    let is_secured = |step: &&Step| {
        let mut hazards = unit.hazards_of(step);
        let says_how = hazards.any(|hazard| {
            let mut demands = hazard.demands.iter();
            demands.any(|demand| matches!(demand, Demand::Isolate(_)))
        });
        uses_lock(unit, step) || pulls_plug(step) || says_how
    };
    if source.kind == SourceKind::Mains && !run.steps.iter().any(is_secured) {
        report.add(Rule::NotSecured, run.first, || {
            tr!(
                "“{name}” is isolated from step {step} on, but nothing secures it against being \
                 switched on again.",
                name = name,
                step = name_step(run.first, run.steps[0])
            )
        });
    }
}

fn check_release(unit: &Unit, run: &Run, thing: ThingNr, leg: usize, report: &mut Report) {
    let name = &unit.things[thing].name;
    let out = unit.steps_of(Op::Out { thing, leg });
    if !out.iter().any(|step| uses_lock(unit, step)) {
        return;
    }
    let step = || name_step(run.first, run.steps[0]);
    // It is taken off by hand: then the words say so.
    let takes_off = |step: &&Step| {
        let mut texts = std::iter::once(&step.action).chain(&step.how);
        uses_lock(unit, step) || texts.any(|text| text.to_lowercase().contains("lock"))
    };
    if !run.steps.iter().any(takes_off) {
        report.add(Rule::LockLeftOn, run.first, || {
            tr!(
                "From step {step} on “{name}” is made live, but no step takes off the lock.",
                name = name,
                step = step()
            )
        });
    }
    let warns = |step: &&Step| step.confirm.is_some() || unit.hazards_of(step).next().is_some();
    if !run.steps.iter().any(warns) {
        report.add(Rule::PeopleClear, run.first, || {
            tr!(
                "From step {step} on “{name}” is made live without a hazard or a confirmation \
                 that people are clear.",
                name = name,
                step = step()
            )
        });
    }
}

/// Nothing is to be isolated or waited for in order to make something live.
fn check_demands(unit: &Unit, run: &Run, report: &mut Report) {
    let is_live_work = match run.op {
        Op::Back { thing, .. } => unit.things[thing].source.is_some(),
        Op::Start | Op::Check { dead: false, .. } => true,
        Op::Serve(nr) => !unit.service(nr).live.is_empty(),
        _ => false,
    };
    if !is_live_work {
        return;
    }
    for (nr, step) in (run.first..).zip(&run.steps) {
        for hazard in unit.hazards_of(step) {
            let mut demands = hazard.demands.iter();
            if demands.any(|one| matches!(one, Demand::Isolate(_) | Demand::WaitMinutes(_))) {
                report.add(Rule::IsolationToEnergise, nr, || {
                    tr!(
                        "Step {step} is done with the unit live or makes it live, but its hazard \
                         demands isolation or waiting: “{hazard}”",
                        step = name_step(nr, step),
                        hazard = localize(&hazard.text)
                    )
                });
            }
        }
    }
}

/// A reading that may show that a source is not isolated is taken while it is isolated.
fn check_doubts(unit: &Unit, state: &State, run: &Run, report: &mut Report) {
    for (nr, step) in (run.first..).zip(&run.steps) {
        let Some(OnFailure::Isolate(id)) = &step.on_failure else {
            continue;
        };
        let source = unit
            .number(id)
            .filter(|source| unit.things[*source].is_here);
        let is_own = source.is_some() && run.op.thing() == source;
        let is_live = |source: &ThingNr| state.of(*source) == Some(Position::Fitted);
        if let Some(source) = source.filter(is_live).filter(|_| !is_own) {
            report.add(Rule::StopTooLate, nr, || {
                tr!(
                    "Step {step} is to show that “{name}” is isolated, but it is live at that \
                     time.",
                    step = name_step(nr, step),
                    name = unit.things[source].name
                )
            });
        }
    }
}
