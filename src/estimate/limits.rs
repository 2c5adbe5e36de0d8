//! Time limits of a catalog that its own estimates cannot keep.

use lidoff_catalog::format::{StepId, WaitId};
use lidoff_catalog::model::{Catalog, Part, ResolvedCondition, StepIx};

use super::estimate::Estimate;

/// A time limit that is shorter than the steps that must be done within it.
#[derive(Clone, Debug, PartialEq)]
pub struct ShortLimit {
    pub limit: WaitId,
    /// The step that starts it.
    pub step: StepId,
    /// The limit, s.
    pub seconds: u32,
    /// The estimates of the steps that are always done between its start and its end, the
    /// last one included, s.
    pub needed_s: f64,
}

/// The limits that cannot be kept. Steps of other operations may come in between; they are
/// not counted.
pub fn short_limits(catalog: &Catalog) -> Vec<ShortLimit> {
    let sequences = sequences(catalog);
    let begun = catalog.steps().filter_map(|(at, step)| {
        let limit = step.entry.starts_limit.as_ref()?;
        let needed = sequences
            .iter()
            .filter_map(|steps| needed_s(catalog, steps, at, &limit.id));
        Some(ShortLimit {
            limit: limit.id.clone(),
            step: step.entry.id.clone(),
            seconds: limit.seconds,
            needed_s: needed.min_by(f64::total_cmp)?,
        })
    });
    begun
        .filter(|one| one.needed_s > f64::from(one.seconds))
        .collect()
}

/// The time from the end of `start` to the end of the step that ends the limit, s.
fn needed_s(catalog: &Catalog, steps: &[StepIx], start: StepIx, limit: &WaitId) -> Option<f64> {
    let begin = steps.iter().position(|step| *step == start)?;
    let later = &steps[begin + 1..];
    let ends = |step: &StepIx| catalog.step(*step).entry.ends_limit.as_ref() == Some(limit);
    let end = later.iter().position(ends)?;
    let when = &catalog.step(start).when;
    let between = later[..end].iter().map(|step| catalog.step(*step));
    let certain = between.filter(|step| step.when == *when || is_always(&step.when));
    let steps = certain.chain([catalog.step(later[end])]);
    Some(steps.map(|step| Estimate::for_step(step).seconds).sum())
}

fn is_always(when: &ResolvedCondition) -> bool {
    *when == ResolvedCondition::All(Vec::new())
}

/// All lists of steps that follow each other.
fn sequences(catalog: &Catalog) -> Vec<Vec<StepIx>> {
    let ends = [
        catalog.make_safe(),
        catalog.start(),
        catalog.prove(),
        catalog.hand_over(),
    ];
    let services = catalog.services().map(|(_, service)| service.steps.clone());
    let mut all: Vec<Vec<StepIx>> = ends.map(<[StepIx]>::to_vec).into_iter().collect();
    all.extend(services);
    for (_, part) in catalog.parts() {
        of_part(part, &mut all);
    }
    all
}

/// What is done on a part, with each way back behind it.
fn of_part(part: &Part, all: &mut Vec<Vec<StepIx>>) {
    let mut work: Vec<Vec<StepIx>> = part.legs().map(|leg| leg.out.clone()).collect();
    if let Some(swap) = &part.swap {
        let pieces = swap.hand_backs.iter().filter(|one| is_always(&one.when));
        let pieces = pieces.flat_map(|one| one.steps.clone());
        work.push(swap.steps.iter().copied().chain(pieces).collect());
        all.extend(swap.hand_backs.iter().map(|one| one.steps.clone()));
        all.push(swap.prove.clone());
    }
    if let Some(reseat) = &part.reseat {
        work.push(reseat.steps.clone());
        all.push(reseat.prove.clone());
    }
    all.extend(part.inspect.iter().map(|inspect| inspect.steps.clone()));
    let eased = part.ease.iter().flat_map(|leg| leg.back.clone());
    for leg in part.legs() {
        let back = leg.back.iter().copied();
        let back: Vec<StepIx> = match &part.ease {
            Some(ease) if ease == leg => back.collect(),
            _ => back.chain(eased.clone()).collect(),
        };
        all.extend(work.iter().map(|work| [work.as_slice(), &back].concat()));
    }
}
