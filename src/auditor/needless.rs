//! What is opened, closed, isolated or made live for nothing: a pair of operations there and
//! back without which the rest of the plan is just as sound.

use std::collections::BTreeSet;

use lidoff_i18n::tr;

use super::legality::walk;
use super::op::Op;
use super::rule::Rule;
use super::runs::{Effect, Report, Run, name_step};
use super::unit::Unit;

pub(crate) fn check(unit: &Unit, runs: &[Run], report: &mut Report) {
    if has_unseen_work(unit) {
        return;
    }
    // Without these runs: what is broken, or nothing where something is unknown.
    let faults = |left_out: &[usize]| {
        let kept = runs.iter().enumerate();
        let kept = kept.filter(|(at, _)| !left_out.contains(at));
        let kept: Vec<&Run> = kept.map(|(_, run)| run).collect();
        let mut report = Report {
            is_count: true,
            ..Report::default()
        };
        walk(unit, &kept, &mut report);
        let broken = report.broken.into_iter().map(|one| (one.rule, one.step));
        (!report.is_unsure).then(|| broken.collect::<BTreeSet<_>>())
    };
    let usual = faults(&[]).unwrap_or_default();
    for (at, run) in runs.iter().enumerate() {
        let Some(back) = return_of(unit, runs, at) else {
            continue;
        };
        let left_out = with_fed(unit, runs, at, back);
        if !faults(&left_out).is_some_and(|faults| faults.is_subset(&usual)) {
            continue;
        }
        let is_source = run
            .op
            .thing()
            .is_some_and(|nr| unit.things[nr].source.is_some());
        let rule = match is_source {
            true => Rule::IsolatedForNothing,
            false => Rule::OpenedForNothing,
        };
        report.add(rule, run.first, || {
            tr!(
                "From step {first} to step {last}, “{name}” is moved there and back, and nothing \
                 in between needs it.",
                first = name_step(run.first, run.steps[0]),
                last = name_step(runs[back].first, runs[back].steps[0]),
                name = unit.name_of(run.op)
            )
        });
    }
}

/// Whether a task of this job has no step on this unit, so that nobody sees when it is done.
fn has_unseen_work(unit: &Unit) -> bool {
    let tasks = super::practice::due_operations(unit);
    tasks.into_iter().any(|op| unit.steps_of(op).is_empty())
}

/// Both runs and, where they are on a source, those between on the sources that it charges.
fn with_fed(unit: &Unit, runs: &[Run], at: usize, back: usize) -> Vec<usize> {
    let source = runs[at].op.thing().map(|nr| unit.things[nr].id);
    let is_fed = |run: &Run| {
        let thing = run.op.thing().and_then(|nr| unit.things[nr].source);
        thing.is_some_and(|fed| source.is_some_and(|source| fed.fed_by.contains(source)))
    };
    let between = (at..=back).filter(|nr| *nr == at || *nr == back || is_fed(&runs[*nr]));
    between.collect()
}

/// The next run that undoes what this one does. Both belong to this plan as a whole.
fn return_of(unit: &Unit, runs: &[Run], at: usize) -> Option<usize> {
    let is_whole = |run: &Run| {
        let begun = &unit.case.start.begun;
        run.effect == Effect::Completes
            && !unit
                .steps_of(run.op)
                .iter()
                .any(|step| begun.contains(&step.id))
    };
    let run = &runs[at];
    let (Op::Out { thing, leg } | Op::Back { thing, leg }) = run.op else {
        return None;
    };
    let goes_out = matches!(run.op, Op::Out { .. });
    let legs = &unit.things[thing].legs;
    let is_same = |other: usize| {
        use super::unit::LegKind::Ease;
        (legs[leg].0 == Ease) == (legs[other].0 == Ease)
    };
    let next = runs
        .iter()
        .enumerate()
        .skip(at + 1)
        .find(|(_, run)| match run.op {
            Op::Out { thing: of, leg } | Op::Back { thing: of, leg } => of == thing && is_same(leg),
            _ => false,
        })?;
    let returns = matches!(next.1.op, Op::Back { .. }) == goes_out;
    (returns && is_whole(run) && is_whole(next.1)).then_some(next.0)
}
