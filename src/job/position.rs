//! Where a job stands, in the planner's terms, and a new plan from there.
//!
//! What is done stays done: the parts are where the completed operations have
//! left them, the tool and the face are those of the last step, and an operation
//! that has been begun is finished first. The first plan is made the same way:
//! nothing is done yet.
//!
//! Where a way out cannot be finished, because it was found blocked, or shall not
//! be, because the unit is closed up, it is turned back from first.
//!
//! Once a check has run, the unit has been live. If it has to be opened again,
//! it is made safe again, and every check is made again afterwards.

use std::fmt;

use lidoff_i18n::tr;

use lidoff_catalog::format::{PartId, StepId, Text};
use lidoff_catalog::model::{Catalog, StepIx};
use lidoff_catalog::setup::{Setup, SetupError};
use lidoff_estimate::estimate::prices;
use lidoff_planner::{
    Limits, Op, PartState, Phase, Plan, Prices, Refusal, Request, Task, Tenths, UnitState, Way,
};

use super::begun;
use super::fold::{DoneStep, Job, TaskProgress, TaskState};
use super::planned::{JobPhase, PlanSnapshot};
use super::refs::{OpRef, TaskRef};
use super::snapshot::{FixedSteps, InHand, SnapshotInput, snapshot};
use super::stamp::Stamp;
use super::walk::Walk;

/// Where a job stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Position {
    /// How this unit is fitted, and what has been answered.
    pub setup: Setup,
    /// The state that the unit is in now: an operation in hand counts as not yet
    /// done.
    pub now: UnitState,
    /// The operation that must be finished first.
    pub in_hand: Option<InHand>,
    /// The state once make-safe and the operation in hand are done: the planner
    /// starts from here.
    pub from: UnitState,
    /// What the planner is asked to do: open tasks, and the service operations
    /// that replacements bring with them.
    pub tasks: Vec<Task>,
    /// What comes before and after.
    pub ends: FixedSteps,
    /// Number of the next plan's first step.
    pub first_number: u32,
    /// What everything costs.
    pub prices: Prices,
    /// Ways out that are blocked on this unit.
    pub blocked: Vec<Op>,
}

/// Why a job's place cannot be found in a catalog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PositionError {
    /// The job is about another unit.
    OtherUnit {
        /// The unit of the job; `None` where its first event is missing.
        job: Option<String>,
        /// The unit of the catalog.
        catalog: String,
    },
    /// Options or answers do not fit.
    Setup(SetupError),
    /// The catalog does not have what this task is about.
    NoSuchTask(TaskRef),
    /// The catalog does not have what this operation is about.
    NoSuchOp(OpRef),
    /// The catalog does not have this step.
    NoSuchStep(StepId),
    /// The options say that this part is not there, and it is off or eased.
    OpenButNotThere(Text),
}

impl fmt::Display for PositionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let other = tr!(
            "The catalog has changed since this job was planned. Continue with the current \
             plan, or load the earlier revision of the catalog."
        );
        match self {
            Self::OtherUnit {
                job: Some(job),
                catalog,
            } => f.write_str(&tr!(
                "This job is for unit “{job}”, but the catalog is for “{catalog}”. Load the \
                 catalog of “{job}”.",
                job,
                catalog
            )),
            Self::OtherUnit { job: None, .. } => f.write_str(&tr!(
                "The event that opened this job is missing, so its unit is unknown. Load \
                 the job again from where it was shared or saved."
            )),
            Self::Setup(error) => error.fmt(f),
            Self::NoSuchTask(
                TaskRef::Replace(PartId(id))
                | TaskRef::Reseat(PartId(id))
                | TaskRef::Inspect(PartId(id)),
            ) => f.write_str(&tr!("The catalog has no part “{id}”. {other}", id, other)),
            Self::NoSuchTask(TaskRef::Serve(id)) => f.write_str(&tr!(
                "The catalog has no service operation “{id}”. {other}",
                id,
                other
            )),
            Self::NoSuchOp(op) => match (op.part(), op) {
                (Some(id), _) => {
                    f.write_str(&tr!("The catalog has no part “{id}”. {other}", id, other))
                }
                (None, op) => f.write_str(&tr!(
                    "There is no operation {op}. {other}",
                    op = format!("{op:?}"),
                    other
                )),
            },
            Self::NoSuchStep(id) => {
                f.write_str(&tr!("The catalog has no step “{id}”. {other}", id, other))
            }
            Self::OpenButNotThere(part) => f.write_str(&tr!(
                "“{part}” is off or eased, but the options say that this unit does not have \
                 it. Correct the options.",
                part
            )),
        }
    }
}

impl std::error::Error for PositionError {}

impl From<SetupError> for PositionError {
    fn from(error: SetupError) -> Self {
        Self::Setup(error)
    }
}

/// Why there is no new plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReplanError {
    /// The job's place cannot be found.
    Position(PositionError),
    /// The planner refuses.
    Refused(Refusal),
}

impl From<PositionError> for ReplanError {
    fn from(error: PositionError) -> Self {
        Self::Position(error)
    }
}

impl From<Refusal> for ReplanError {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
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
    /// What the planner is asked.
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

    /// The planner's answer, in words.
    pub fn snapshot(&self, catalog: &Catalog, plan: &Plan) -> PlanSnapshot {
        snapshot(&SnapshotInput {
            catalog,
            setup: &self.setup,
            prices: &self.prices,
            now: &self.now,
            in_hand: self.in_hand.as_ref(),
            plan,
            ends: &self.ends,
            first_number: self.first_number,
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
    let setup = Setup::new(catalog, &job.setup)?;
    let prices = prices(catalog);
    let state = state_now(job, catalog, now)?;
    let open_but_not_there = catalog
        .parts()
        .find(|(at, part)| state.of(*at) != PartState::Fitted && !setup.holds(&part.when));
    if let Some((_, part)) = open_but_not_there {
        return Err(PositionError::OpenButNotThere(part.name.clone()));
    }
    let blocked = blocked(job, catalog)?;
    let mut given_up = blocked.clone();
    if closing {
        given_up.extend(begun::ways_out(job, catalog)?);
    }
    given_up.extend(without_its_part(job, catalog));
    let in_hand = match begun::left_over(job, catalog, &setup, &given_up)? {
        Some(in_hand) => Some(in_hand),
        None => in_hand(job, catalog, &given_up)?,
    };

    // A swap that has been begun is finished, closing up or not, and then that
    // part is proven, too.
    let being_done = in_hand.as_ref().and_then(|one| does(one.op));
    let mut all = found(job, catalog)?;
    all.retain(|(task, state)| match state.state {
        TaskProgress::Open => !closing || being_done == Some(*task),
        TaskProgress::LeftOpen => being_done == Some(*task),
        TaskProgress::Done => true,
        TaskProgress::Dropped => false,
    });
    let mut tasks = still_to_do(job, catalog, &setup, &all);
    tasks.retain(|task| being_done != Some(*task));

    let mut from = state.clone();
    if let Some(InHand { op, .. }) = &in_hand {
        apply(catalog, &mut from, *op);
    }
    let opens = in_hand.is_some() || !tasks.is_empty() || !from.is_closed();
    let all_tasks: Vec<Task> = all.iter().map(|(task, _)| *task).collect();
    let whole = FixedSteps::whole(catalog, &setup, &all_tasks);
    let ends = left_of(whole, job, catalog, opens);

    let mut walk = Walk::from(catalog, &prices, &state);
    let first = in_hand
        .iter()
        .flat_map(|op| op.steps.iter().map(|(_, at)| at));
    for step in ends.make_safe.iter().chain(first) {
        walk.step(*step);
    }
    walk.into_state(&mut from);

    Ok(Position {
        setup,
        now: state,
        in_hand,
        from,
        tasks,
        ends,
        first_number: job.next_number(),
        prices,
        blocked,
    })
}

/// The unit after the completed operations, and the technician before it.
fn state_now(job: &Job, catalog: &Catalog, now: &Stamp) -> Result<UnitState, PositionError> {
    let mut state = UnitState::closed(catalog);
    let lasted_ms = job.lasted_ms(now);
    for done in &job.done {
        for op in &done.step.completes {
            let found = op.find(catalog);
            let op = found.ok_or_else(|| PositionError::NoSuchOp(op.clone()))?;
            apply(catalog, &mut state, op);
        }
        let step = catalog.step(find_step(catalog, &done.step.step)?);
        state.tool = step.tool.or(state.tool);
        state.face = step.face.or(state.face);
        if let Some(wait) = step.starts_wait {
            let long_ms = i64::from(catalog.wait(wait).seconds) * 1000;
            let past_ms = lasted_ms.saturating_sub(done.lasted_ms).max(0);
            let left_ms = long_ms.saturating_sub(past_ms).max(0);
            let left = Tenths::try_from((left_ms + 99) / 100).unwrap_or(Tenths::MAX);
            state.waits.retain(|(one, _)| *one != wait);
            if left > 0 {
                state.waits.push((wait, left));
            }
        }
    }
    Ok(state)
}

/// Swaps that cannot be finished on this visit: the new part is not to hand, and
/// the task was left.
fn without_its_part(job: &Job, catalog: &Catalog) -> Vec<Op> {
    let left = |task: &TaskRef| {
        let mut tasks = job.tasks.iter().rev();
        let found = tasks.find(|one| one.task.task == *task);
        found.is_some_and(|one| one.state == TaskProgress::LeftOpen)
    };
    let tasks = job.not_to_hand.iter().map(|lack| &lack.task.task);
    tasks
        .filter(|task| left(task))
        .filter_map(|task| task.op().find(catalog))
        .collect()
}

/// The ways out that are blocked.
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

pub(super) fn find_step(catalog: &Catalog, id: &StepId) -> Result<StepIx, PositionError> {
    let found = catalog.find_step(id.as_str());
    found.ok_or_else(|| PositionError::NoSuchStep(id.clone()))
}

/// What an operation does to its part.
fn apply(catalog: &Catalog, state: &mut UnitState, op: Op) {
    let (part, to) = match op {
        Op::Ease(part) => (part, PartState::Eased),
        Op::TakeOff(part, _) => (part, PartState::Off),
        Op::PutBack(part, Way::InPlace) if catalog.part(part).ease.is_some() => {
            (part, PartState::Eased)
        }
        Op::PutBack(part, _) | Op::Settle(part) => (part, PartState::Fitted),
        Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) => return,
    };
    state.parts[part.index()] = to;
}

/// The operation that has been begun: its steps lead what is left, and one of
/// them is done. One that is given up is not gone on with.
fn in_hand(job: &Job, catalog: &Catalog, given_up: &[Op]) -> Result<Option<InHand>, PositionError> {
    let mut left = job.remaining.iter().peekable();
    while left
        .next_if(|step| step.phase == JobPhase::MakeSafe)
        .is_some()
    {}
    let Some(first) = left.peek().copied() else {
        return Ok(None);
    };
    let Some(said) = &first.op else {
        return Ok(None);
    };
    let one = first.number.saturating_sub(u32::from(first.nth)) + 1;
    let numbers = one..one.saturating_add(first.of.into());
    let begun = first.nth > 1
        || job
            .done
            .iter()
            .any(|done| numbers.contains(&done.step.number) && done.step.op == first.op);
    if !begun {
        return Ok(None);
    }
    let op = said.find(catalog);
    let op = op.ok_or_else(|| PositionError::NoSuchOp(said.clone()))?;
    if given_up.contains(&op) {
        return Ok(None);
    }
    let mut steps = Vec::new();
    for step in left {
        if step.op != first.op {
            break;
        }
        steps.push((step.nth, find_step(catalog, &step.step)?));
        if step.nth >= step.of {
            break;
        }
    }
    Ok(Some(InHand {
        op,
        steps,
        of: first.of,
    }))
}

/// Every task of the job that was not dropped, found in the catalog.
fn found<'a>(job: &'a Job, catalog: &Catalog) -> Result<Vec<(Task, &'a TaskState)>, PositionError> {
    let find = |one: &'a TaskState| {
        let said = &one.task.task;
        let task = said.find(catalog);
        task.map(|task| (task, one))
            .ok_or_else(|| PositionError::NoSuchTask(said.clone()))
    };
    let tasks = job.tasks.iter();
    tasks
        .filter(|one| one.state != TaskProgress::Dropped)
        .map(find)
        .collect()
}

/// What the planner is still asked for.
fn still_to_do(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    all: &[(Task, &TaskState)],
) -> Vec<Task> {
    let mut open: Vec<Task> = Vec::new();
    let mut add = |task: Task| {
        if !open.contains(&task) {
            open.push(task);
        }
    };
    for (task, state) in all {
        if state.state == TaskProgress::Open {
            add(*task);
        }
    }
    for (task, state) in all {
        let Task::Replace(part) = task else { continue };
        let swap = catalog.part(*part).swap.as_ref();
        for service in swap
            .map(|swap| swap.services.as_slice())
            .unwrap_or_default()
        {
            let op = OpRef::of(catalog, Op::Serve(*service));
            let here = setup.holds(&catalog.service(*service).when);
            if here && !job.has_done_since(&op, state.since) {
                add(Task::Serve(*service));
            }
        }
    }
    open
}

/// The task that an operation does.
const fn does(op: Op) -> Option<Task> {
    match op {
        Op::Swap(part) => Some(Task::Replace(part)),
        Op::Reseat(part) => Some(Task::Reseat(part)),
        Op::Inspect(part) => Some(Task::Inspect(part)),
        Op::Serve(service) => Some(Task::Serve(service)),
        Op::Ease(_) | Op::TakeOff(..) | Op::PutBack(..) | Op::Settle(_) => None,
    }
}

/// What of it is still to be done. `opens`: the unit is open, or will be opened.
fn left_of(mut whole: FixedSteps, job: &Job, catalog: &Catalog, opens: bool) -> FixedSteps {
    let proves = |one: &DoneStep| matches!(one.step.phase, JobPhase::Prove | JobPhase::HandOver);
    let is_done = |since: usize, step: StepIx| {
        let id = &catalog.step(step).said.id;
        job.done[since..].iter().any(|done| done.step.step == *id)
    };
    let after_last = |of: &dyn Fn(&DoneStep) -> bool| {
        let last = job.done.iter().rposition(of);
        last.map_or(0, |at| at + 1)
    };
    if opens {
        let since = after_last(&proves);
        whole.make_safe.retain(|step| !is_done(since, *step));
    } else {
        let since = after_last(&|one| !proves(one));
        whole.make_safe.clear();
        whole.prove.retain(|(_, step)| !is_done(since, *step));
        if whole.prove.is_empty() {
            let since = after_last(&|one| one.step.phase != JobPhase::HandOver);
            whole.hand_over.retain(|step| !is_done(since, *step));
        }
    }
    whole
}
