//! Computes the position of a job.

use lidoff_catalog::model::{Catalog, Part, PartIx};
use lidoff_catalog::setup::Setup;
use lidoff_estimate::estimate::prices;
use lidoff_planner::{
    Limits, Op, PartState, Phase, Plan, Prices, Refusal, Request, Task, UnitState,
};

use super::abandoned;
use super::error::{PositionError, ReplanError};
use super::isolation::isolation_steps;
use super::remaining::{find_tasks, find_what_comes_new, remaining_fixed_steps, tasks_to_plan};
use super::started::find_started;
use super::unit_state::{apply, state_now};
use crate::fold::{Job, TaskProgress};
use crate::planned::PlanSnapshot;
use crate::refs::{OpRef, TaskRef};
use crate::snapshot::{
    ComesNew, FirstSteps, FixedSteps, SnapshotInput, StartedOperation, snapshot,
};
use crate::stamp::Stamp;
use crate::walk::StepWalk;

/// The position of a job.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// How this unit is fitted, and what has been answered.
    pub setup: Setup,
    /// The current state of the unit: an operation in progress counts as not done.
    pub now: UnitState,
    /// What comes before everything else: sources to isolate again, and isolations to verify.
    pub first: Vec<FirstSteps>,
    /// The operation that must be finished after that.
    pub in_hand: Option<StartedOperation>,
    /// The state after these, make-safe and the operation in progress: the planner starts from
    /// here.
    pub from: UnitState,
    /// The planner's tasks: open tasks, and the service operations that replacements
    /// require.
    pub tasks: Vec<Task>,
    /// The fixed steps before and after.
    pub ends: FixedSteps,
    /// Number of the next plan's first step.
    pub first_number: u32,
    /// The times and costs.
    pub prices: Prices,
    /// Operations that are blocked on this unit.
    pub blocked: Vec<Op>,
    /// Open replacements that are done with another one.
    pub comes_new: Vec<ComesNew>,
}

/// Where a job stands, with its open tasks still to be done; none of them where
/// the job is [closing up](Job::is_closing).
///
/// # Errors
/// When the catalog is not that of the job, or lacks something that the job
/// names; when its options say that a part is not there that is open.
pub fn position(job: &Job, catalog: &Catalog, now: &Stamp) -> Result<Position, PositionError> {
    locate(job, catalog, now, job.is_closing())
}

/// Where a job stands, with nothing left to do but to close the unit, prove what
/// has been done, and hand over.
///
/// # Errors
/// As [`position`].
pub fn closing_up(job: &Job, catalog: &Catalog, now: &Stamp) -> Result<Position, PositionError> {
    locate(job, catalog, now, true)
}

/// A plan from where the job stands, in words: for the first plan and every one
/// after. The planner is given, because how long it may search is for the caller
/// to say; [`plan`](lidoff_planner::plan) is one.
///
/// # Errors
/// When the job's place cannot be found, or the planner refuses.
pub fn replan(
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    planner: impl FnOnce(&Request) -> Result<Plan, Refusal>,
) -> Result<PlanSnapshot, ReplanError> {
    let position = position(job, catalog, now)?;
    let plan = planner(&position.request(catalog, Limits::default()))?;
    Ok(position.snapshot(catalog, &plan))
}

impl Position {
    /// The request to the planner.
    pub fn request<'a>(&'a self, catalog: &'a Catalog, limits: Limits) -> Request<'a> {
        Request {
            catalog,
            setup: &self.setup,
            tasks: &self.tasks,
            from: &self.from,
            prices: &self.prices,
            blocked: &self.blocked,
            limits,
        }
    }

    /// The plan as a snapshot.
    pub fn snapshot(&self, catalog: &Catalog, plan: &Plan) -> PlanSnapshot {
        snapshot(&SnapshotInput {
            catalog,
            setup: &self.setup,
            prices: &self.prices,
            now: &self.now,
            first: &self.first,
            in_hand: self.in_hand.as_ref(),
            plan,
            ends: &self.ends,
            first_number: self.first_number,
            comes_new: &self.comes_new,
        })
    }
}

fn locate(
    job: &Job,
    catalog: &Catalog,
    now: &Stamp,
    closing: bool,
) -> Result<Position, PositionError> {
    let unit = job.opened.as_ref().map(|opened| &opened.unit.id);
    if unit != Some(&catalog.unit().id) {
        return Err(PositionError::OtherUnit {
            job: unit.cloned(),
            catalog: catalog.unit().id.clone(),
        });
    }
    let left_out = job
        .left_out()
        .filter_map(|id| catalog.find_part(id.as_str()));
    let setup = Setup::new(catalog, &job.setup)?
        .replacing(replaced(job, catalog))
        .without(catalog, left_out);
    let prices = prices(catalog);
    let state = state_now(job, catalog, &setup, now)?;
    let open_but_not_there = catalog
        .parts()
        .find(|(at, part)| state.of(*at) != PartState::Fitted && !setup.holds(&part.when));
    if let Some((_, part)) = open_but_not_there {
        return Err(PositionError::OpenButNotThere(part.name.clone()));
    }
    let condemned = catalog.sources().find_map(|(_, part)| {
        let (when, words) = part.source.as_ref()?.condemned.as_ref()?;
        setup.holds(when).then(|| words.clone())
    });
    let goes_out_of_use = setup.is_out_of_use()
        || job
            .open_tasks()
            .any(|task| matches!(task.task, TaskRef::LeaveOut(_)));
    if let Some(words) = condemned.filter(|_| !goes_out_of_use) {
        return Err(PositionError::Condemned(words));
    }
    let blocked = blocked(job, catalog)?;
    let mut given_up = blocked.clone();
    if closing {
        let is_open = |(at, part): (PartIx, &Part)| {
            !part.is_source() && setup.has(catalog, at) && state.of(at) != PartState::Fitted
        };
        let unit_is_open = catalog.parts().any(is_open);
        let mut ways_out = abandoned::ways_out(job, catalog)?;
        // On an open unit an isolation is finished: taken back, it would make the source live.
        ways_out.retain(|op| {
            let part = op.part().filter(|_| unit_is_open);
            !part.is_some_and(|part| catalog.part(part).is_source())
        });
        given_up.extend(ways_out);
    }
    given_up.extend(swaps_without_part(job, catalog));
    let first = isolation_steps(job, catalog, &setup, &state);
    let in_hand = match abandoned::left_over(job, catalog, &setup, &given_up, &first)? {
        Some(in_hand) => Some(in_hand),
        None => find_started(job, catalog, &given_up, &first)?,
    };

    // A part that is half left out is left out.
    let setup = match in_hand {
        Some(StartedOperation {
            op: Op::LeaveOut(part),
            ..
        }) => setup.without(catalog, [part]),
        _ => setup,
    };

    // A swap that has been begun is finished, closing up or not, and then that
    // part is proven, too.
    let being_done = in_hand.as_ref().and_then(|one| Task::done_by(one.op));
    let mut all = find_tasks(job, catalog)?;
    all.retain(|(task, state)| match state.state {
        TaskProgress::Open => !closing || being_done == Some(*task),
        TaskProgress::LeftOpen => being_done == Some(*task),
        TaskProgress::Done => true,
        TaskProgress::Dropped => false,
    });
    let comes_new = find_what_comes_new(catalog, &all);
    let mut tasks = tasks_to_plan(job, catalog, &setup, &all, &comes_new);
    tasks.retain(|task| being_done != Some(*task));

    let mut from = state.clone();
    for again in first.iter().filter(|one| one.isolates) {
        apply(catalog, &mut from, again.op);
    }
    if let Some(StartedOperation { op, .. }) = &in_hand {
        apply(catalog, &mut from, *op);
    }
    let is_energising = |one: &StartedOperation| {
        let part = one.op.part().filter(|_| one.op.phase() == Phase::Refit);
        part.is_some_and(|part| catalog.part(part).is_source())
    };
    let is_open = |(at, part): (PartIx, &Part)| {
        !part.is_source() && setup.has(catalog, at) && from.of(at) != PartState::Fitted
    };
    let opens = in_hand.as_ref().is_some_and(|one| !is_energising(one))
        || !tasks.is_empty()
        || catalog.parts().any(is_open);
    let all_tasks: Vec<Task> = all.iter().map(|(task, _)| *task).collect();
    let whole = FixedSteps::whole(catalog, &setup, &all_tasks);
    let ends = remaining_fixed_steps(whole, job, catalog, opens);

    let mut walk = StepWalk::from(catalog, &prices, &state);
    let in_hand_steps = in_hand
        .iter()
        .flat_map(|op| op.steps.iter().map(|(_, at)| at));
    let first_steps = first.iter().flat_map(|one| &one.steps);
    for step in first_steps.chain(&ends.make_safe).chain(in_hand_steps) {
        walk.step(*step);
    }
    walk.into_state(&mut from);

    Ok(Position {
        setup,
        now: state,
        first,
        in_hand,
        from,
        tasks,
        ends,
        first_number: job.next_number(),
        prices,
        blocked,
        comes_new,
    })
}

/// The parts that this job replaces or has replaced. A swap that has been begun is finished,
/// even if its task was left.
fn replaced<'a>(job: &'a Job, catalog: &'a Catalog) -> impl Iterator<Item = PartIx> + 'a {
    let given_up = swaps_without_part(job, catalog);
    job.tasks.iter().filter_map(move |one| {
        let TaskRef::Replace(id) = &one.task.task else {
            return None;
        };
        let part = catalog.find_part(id.as_str())?;
        let swap = one.task.task.op();
        let mut done = job.done.iter().filter(|done| done.event > one.since);
        let is_kept = match one.state {
            TaskProgress::Open | TaskProgress::Done => true,
            TaskProgress::LeftOpen => {
                !given_up.contains(&Op::Swap(part))
                    && done.any(|done| done.step.op.as_ref() == Some(&swap))
            }
            TaskProgress::Dropped => false,
        };
        is_kept.then_some(part)
    })
}

/// Swaps that cannot be finished on this visit, because the new part is missing and the
/// task was left.
fn swaps_without_part(job: &Job, catalog: &Catalog) -> Vec<Op> {
    let left = |task: &TaskRef| {
        let mut tasks = job.tasks.iter().rev();
        let found = tasks.find(|one| one.task.task == *task);
        found.is_some_and(|one| one.state == TaskProgress::LeftOpen)
    };
    let tasks = job.unavailable_parts.iter().map(|lack| &lack.task.task);
    tasks
        .filter(|task| left(task))
        .filter_map(|task| task.op().find(catalog))
        .collect()
}

/// The blocked operations.
fn blocked(job: &Job, catalog: &Catalog) -> Result<Vec<Op>, PositionError> {
    let find = |op: &OpRef| {
        op.find(catalog)
            .ok_or_else(|| PositionError::NoSuchOp(op.clone()))
    };
    let all = job.blocked.iter().map(|way| find(&way.op));
    let all: Vec<Op> = all.collect::<Result<_, _>>()?;
    Ok(all
        .into_iter()
        .filter(|op| op.phase() == Phase::StripDown)
        .collect())
}
