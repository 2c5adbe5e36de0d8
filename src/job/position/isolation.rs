//! Sources to isolate again, and isolations to verify again.

use lidoff_catalog::format::{OnFailure, PartId};
use lidoff_catalog::model::{Catalog, PartIx, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Op, PartState, UnitState, Way};

use crate::fold::Job;
use crate::refs::OpRef;
use crate::snapshot::FirstSteps;

/// What must be done about isolation before anything else. A source that the job has never
/// isolated is not among them: the planner isolates what the work needs.
pub(super) fn isolation_steps(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    state: &UnitState,
) -> Vec<FirstSteps> {
    let mut first: Vec<FirstSteps> = Vec::new();
    for op in isolating_ops(job, catalog) {
        let Some(part) = op.part() else { continue };
        let id = &catalog.part(part).id;
        let is_live = state.of(part) == PartState::Fitted;
        let is_lost = is_live && job.has_lost_isolation(id);
        let is_doubtful = !is_live && job.verify_due.contains(id);
        let all = op.steps(catalog, setup);
        let steps = match (is_lost, is_doubtful) {
            (true, _) => all,
            (false, true) => {
                let mut steps = proof(catalog, all);
                steps.extend(proofs_inside(job, catalog, state, id));
                steps
            }
            (false, false) => continue,
        };
        if first.iter().all(|one| one.op.part() != op.part()) {
            first.push(FirstSteps {
                op,
                steps,
                isolates: is_lost,
            });
        }
    }
    first
}

/// The readings of this isolation that were taken inside the unit, as far as it is still open.
fn proofs_inside<'a>(
    job: &'a Job,
    catalog: &'a Catalog,
    state: &'a UnitState,
    source: &'a PartId,
) -> impl Iterator<Item = StepIx> + 'a {
    let is_open = |op: &OpRef| {
        let part = op.part().and_then(|part| catalog.find_part(part.as_str()));
        part.is_some_and(|part| state.of(part) != PartState::Fitted)
    };
    let done = job.done.iter().map(|done| &done.step);
    let inside = done.filter(move |step| step.op.as_ref().is_some_and(is_open));
    let steps = inside.filter_map(|step| catalog.find_step(step.step.as_str()));
    steps.filter(move |step| {
        let verifies = &catalog.step(*step).entry.on_failure;
        *verifies == Some(OnFailure::Isolate(source.clone()))
    })
}

/// The last reading proves the isolation; the ones before it belong to how it is done.
fn proof(catalog: &Catalog, steps: Vec<StepIx>) -> Vec<StepIx> {
    let reads = |step: &StepIx| catalog.step(*step).entry.reading.is_some();
    steps.into_iter().rfind(reads).into_iter().collect()
}

/// The operations that isolated a source or can isolate it, sources before those they feed;
/// otherwise in the order in which they were done.
fn isolating_ops(job: &Job, catalog: &Catalog) -> Vec<Op> {
    let done = job.done.iter().flat_map(|done| &done.step.completes);
    let recorded = done.filter_map(|op| op.find(catalog));
    let isolates = |op: &Op| matches!(op, Op::TakeOff(part, _) if catalog.part(*part).is_source());
    let recorded = recorded.filter(isolates);
    // A job from before its catalog had sources isolated them in its make-safe steps.
    let unrecorded = catalog
        .sources()
        .map(|(at, _)| Op::TakeOff(at, Way::InPlace));
    let mut all: Vec<Op> = recorded.chain(unrecorded).collect();
    // A source can be isolated only while those that feed it are.
    all.sort_by_key(|op| op.part().map_or(0, |part| feeds_before(catalog, part)));
    all
}

/// How many sources feed this one, one behind the other.
fn feeds_before(catalog: &Catalog, source: PartIx) -> usize {
    let mut depth = 0;
    let mut feeding = vec![source];
    // A source that feeds itself is refused by the check of catalogs.
    while depth < catalog.sources().count() {
        let fed_by = |part: &PartIx| catalog.part(*part).source.as_ref().map(|it| &it.fed_by);
        let ids = feeding.iter().filter_map(fed_by).flatten();
        feeding = ids
            .filter_map(|id| catalog.find_part(id.as_str()))
            .collect();
        if feeding.is_empty() {
            break;
        }
        depth += 1;
    }
    depth
}

/// Whether the steps of a job from before its catalog had sources isolated this one: every
/// step of its isolation was done outside of operations, and none since that makes it live.
pub(super) fn was_made_safe(job: &Job, catalog: &Catalog, setup: &Setup, source: &PartId) -> bool {
    let Some(part) = catalog.find_part(source.as_str()) else {
        return false;
    };
    let names = |op: &OpRef| op.part() == Some(source);
    if job
        .done
        .iter()
        .any(|done| done.step.op.as_ref().is_some_and(names))
    {
        return false;
    }
    let place_of = |step: StepIx| {
        let id = &catalog.step(step).entry.id;
        job.done.iter().rposition(|done| done.step.step == *id)
    };
    Way::all_of(catalog.part(part)).any(|way| {
        let out = Op::TakeOff(part, way).steps(catalog, setup);
        let places: Option<Vec<usize>> = out.into_iter().map(place_of).collect();
        let isolated_at = places.and_then(|places| places.into_iter().max());
        let back = Op::PutBack(part, way).steps(catalog, setup);
        let live_at = back.into_iter().filter_map(place_of).max();
        isolated_at.is_some() && live_at < isolated_at
    })
}
