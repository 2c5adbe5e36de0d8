//! The plan, cut into operations.

use lidoff_catalog::format::{Step, StepId};
use lidoff_i18n::{localize, tr};

use super::op::Op;
use super::rule::{BrokenRule, Rule};
use super::state::{Position, State};
use super::unit::Unit;

/// What a run of steps does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Effect {
    /// It completes its operation.
    Completes,
    /// It takes back what was begun on a way out.
    TakesBack,
    /// It only verifies an isolation.
    Verifies,
}

/// Steps of one operation, one after the other.
pub(crate) struct Run<'f> {
    pub op: Op,
    /// The number of its first step in the plan, from 0.
    pub first: usize,
    pub steps: Vec<&'f Step>,
    pub effect: Effect,
}

impl Run<'_> {
    /// The number of its last step.
    pub fn last(&self) -> usize {
        self.first + self.steps.len().saturating_sub(1)
    }
}

/// Collects what is wrong.
#[derive(Default)]
pub(crate) struct Report {
    pub broken: Vec<BrokenRule>,
    /// Writes no sentences.
    pub is_count: bool,
    /// Something that was asked for is unknown.
    pub is_unsure: bool,
}

impl Report {
    pub fn add(&mut self, rule: Rule, step: usize, sentence: impl FnOnce() -> String) {
        let sentence = match self.is_count {
            false => sentence(),
            true => String::new(),
        };
        self.broken.push(BrokenRule {
            rule,
            step,
            sentence,
        });
    }
}

/// "3 “Lift off the lid”": a step in a sentence.
pub(crate) fn name_step(nr: usize, step: &Step) -> String {
    tr!("{} “{}”", nr + 1, localize(&step.action))
}

/// Cuts the plan into operations, and reports steps that are unknown and operations that are
/// split.
pub(crate) fn cut<'f>(unit: &Unit<'f>, report: &mut Report) -> Vec<Run<'f>> {
    let mut runs: Vec<Run> = Vec::new();
    for (nr, id) in unit.case.steps.iter().enumerate() {
        let Some((op, step)) = unit.step(id) else {
            report.add(Rule::UnknownStep, nr, || {
                tr!("Step {}: the catalog has no step “{id}”.", nr + 1, id = id)
            });
            continue;
        };
        if !unit.applies(step) || op.thing().is_some_and(|thing| !unit.things[thing].is_here) {
            report.add(Rule::UnknownStep, nr, || {
                tr!(
                    "Step {step} is not for this unit: it is fitted differently.",
                    step = name_step(nr, step)
                )
            });
        }
        match runs.last_mut() {
            Some(run) if run.op == op && run.first + run.steps.len() == nr => run.steps.push(step),
            _ => runs.push(Run {
                op,
                first: nr,
                steps: vec![step],
                effect: Effect::Completes,
            }),
        }
    }
    let mut state = State::at_start(unit);
    for run in &mut runs {
        if run.op.is_work() {
            run.effect = effect(unit, &state, run, report);
        }
        if run.effect == Effect::Completes {
            state.apply(unit, run.op);
        }
    }
    runs
}

fn effect(unit: &Unit, state: &State, run: &Run, report: &mut Report) -> Effect {
    let expected: Vec<&StepId> = unit.steps_of(run.op).iter().map(|step| &step.id).collect();
    let found: Vec<&StepId> = run.steps.iter().map(|step| &step.id).collect();
    let begun = &unit.case.start.begun;
    let is_ordered = is_subsequence(&found, &expected);
    if let Op::Back { thing, leg } = run.op
        && is_ordered
        && state.of(thing) != Some(State::after(unit.things[thing].legs[leg].0))
    {
        let out = unit.steps_of(Op::Out { thing, leg });
        if out.iter().any(|step| begun.contains(&step.id)) {
            return Effect::TakesBack;
        }
    }
    if let Op::Out { thing, .. } = run.op
        && is_ordered
        && unit.things[thing].source.is_some()
        && state.of(thing) == Some(Position::Off)
        && run.steps.iter().all(|step| step.reading.is_some())
    {
        return Effect::Verifies;
    }
    if found == expected {
        return Effect::Completes;
    }
    let is_left = |id: &&&StepId| !begun.contains(id);
    if begun.iter().any(|id| expected.contains(&id))
        && expected.iter().filter(is_left).eq(found.iter())
    {
        return Effect::Completes;
    }
    report.add(Rule::SplitOperation, run.first, || {
        tr!(
            "Steps {first} to {last} on “{name}” are not the whole operation in its order: the \
             catalog has {expected} steps here, the plan {found}.",
            first = run.first + 1,
            last = run.last() + 1,
            name = unit.name_of(run.op),
            expected = expected.len(),
            found = found.len()
        )
    });
    Effect::Completes
}

fn is_subsequence(of: &[&StepId], whole: &[&StepId]) -> bool {
    let mut rest = whole.iter();
    of.iter().all(|one| rest.any(|other| other == one))
}
