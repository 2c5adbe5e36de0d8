//! Operations played step by step: needed only where a wait begins or ends within them.

use crate::cost::Tenths;
use crate::request::Prices;
use lidoff_catalog::model::{Catalog, StepIx};

use super::search_state::SearchState;

/// A step with its time, its tool and face, and the waits it touches.
#[derive(Clone, Debug)]
pub struct TimedStep {
    work: Tenths,
    tool: Option<u16>,
    face: Option<u16>,
    after_wait: Option<usize>,
    starts_wait: Option<(usize, Tenths)>,
}

/// Time spent in an operation, and how much of it was only waiting.
#[derive(Clone, Copy, Debug, Default)]
pub struct TimeSpent {
    pub total: Tenths,
    pub waiting: Tenths,
}

/// The steps of an operation with their times; `None` where no wait is involved.
pub fn timed_steps(
    catalog: &Catalog,
    prices: &Prices,
    waits: &[usize],
    steps: &[StepIx],
) -> Option<Vec<TimedStep>> {
    let local = |wait: usize| waits.iter().position(|known| *known == wait);
    let all: Vec<TimedStep> = steps
        .iter()
        .map(|index| {
            let step = catalog.step(*index);
            let starts_wait = step.starts_wait.and_then(|wait| {
                Some((
                    local(wait.index())?,
                    catalog.wait(wait).seconds.saturating_mul(10),
                ))
            });
            TimedStep {
                work: prices.of(*index),
                tool: step.tool.map(|tool| tool.index() as u16),
                face: step.face.map(|face| face.index() as u16),
                after_wait: step.after_wait.and_then(|wait| local(wait.index())),
                starts_wait,
            }
        })
        .collect();
    all.iter()
        .any(|step| step.after_wait.is_some() || step.starts_wait.is_some())
        .then_some(all)
}

/// Plays the steps from this state: changes first, then what is left of the wait, then
/// the step. Waits run on during all three.
pub fn play_steps(steps: &[TimedStep], state: &mut SearchState, prices: &Prices) -> TimeSpent {
    let mut spent = TimeSpent::default();
    let (mut tool, mut face) = (state.tool, state.face);
    for step in steps {
        let mut time = 0;
        if let Some(wanted) = step.tool
            && wanted != tool
        {
            time += prices.tool_change;
            tool = wanted;
        }
        if let Some(wanted) = step.face
            && wanted != face
        {
            time += prices.face_change;
            face = wanted;
        }
        if let Some(wait) = step.after_wait {
            let left = state.waits[wait].saturating_sub(time);
            spent.waiting += left;
            time += left;
        }
        time += step.work;
        spent.total += time;
        run_down_waits(state, time);
        if let Some((wait, length)) = step.starts_wait {
            state.waits[wait] = length;
        }
    }
    spent
}

pub fn run_down_waits(state: &mut SearchState, time: Tenths) {
    for left in &mut state.waits {
        *left = left.saturating_sub(time);
    }
}
