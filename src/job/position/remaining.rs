//! The remaining work: open tasks, and the fixed steps before and after.

use lidoff_catalog::model::{Catalog, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::request::comes_new_with;
use lidoff_planner::{Op, Task};

use super::error::PositionError;
use crate::fold::{DoneStep, Job, TaskProgress, TaskState};
use crate::planned::JobPhase;
use crate::refs::OpRef;
use crate::snapshot::{ComesNew, FixedSteps};

/// All tasks of the job that were not dropped, resolved in the catalog.
pub(super) fn find_tasks<'a>(
    job: &'a Job,
    catalog: &Catalog,
) -> Result<Vec<(Task, &'a TaskState)>, PositionError> {
    let find = |one: &'a TaskState| {
        let reference = &one.task.task;
        let task = reference.find(catalog);
        task.map(|task| (task, one))
            .ok_or_else(|| PositionError::NoSuchTask(reference.clone()))
    };
    let tasks = job.tasks.iter();
    tasks
        .filter(|one| one.state != TaskProgress::Dropped)
        .map(find)
        .collect()
}

/// The open replacements of parts that come new with another part that is still to be replaced.
pub(super) fn find_what_comes_new(catalog: &Catalog, all: &[(Task, &TaskState)]) -> Vec<ComesNew> {
    let left = all
        .iter()
        .filter(|(_, one)| one.state != TaskProgress::Done);
    let left: Vec<Task> = left.map(|(task, _)| *task).collect();
    let comes_new = left.iter().filter_map(|task| match *task {
        Task::Replace(rider) => {
            let module = comes_new_with(catalog, &left, rider)?;
            Some(ComesNew { rider, module })
        }
        _ => None,
    });
    comes_new.collect()
}

/// The remaining tasks for the planner.
pub(super) fn tasks_to_plan(
    job: &Job,
    catalog: &Catalog,
    setup: &Setup,
    all: &[(Task, &TaskState)],
    comes_new: &[ComesNew],
) -> Vec<Task> {
    let mut open: Vec<Task> = Vec::new();
    let leaves_out = |(task, _): &(Task, _)| matches!(task, Task::LeaveOut(_));
    let is_out_of_use = setup.is_out_of_use() || all.iter().any(leaves_out);
    // A unit that goes out of use is not made live: what needs that stays undone.
    let mut add = |task: Task| {
        let cannot_be_done = is_out_of_use && task.needs_live(catalog);
        if !open.contains(&task) && !cannot_be_done {
            open.push(task);
        }
    };
    let is_with_another = |task: &Task| {
        comes_new
            .iter()
            .any(|one| *task == Task::Replace(one.rider))
    };
    for (task, state) in all {
        if state.state == TaskProgress::Open && !is_with_another(task) {
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
            let op = OpRef::from_op(catalog, Op::Serve(*service));
            let here = setup.holds(&catalog.service(*service).when);
            if here && !job.has_done_since(&op, state.since) {
                add(Task::Serve(*service));
            }
        }
    }
    open
}

/// The remaining fixed steps. `opens`: a part is open, or will be opened.
pub(super) fn remaining_fixed_steps(
    mut whole: FixedSteps,
    job: &Job,
    catalog: &Catalog,
    opens: bool,
) -> FixedSteps {
    let proves = |one: &DoneStep| matches!(one.step.phase, JobPhase::Prove | JobPhase::HandOver);
    // Checks before the unit is live say nothing about whether it was made safe.
    let proves_live = |one: &DoneStep| {
        let found = catalog.find_step(one.step.step.as_str());
        proves(one) && !found.is_some_and(|at| catalog.step(at).entry.before_power)
    };
    let is_done = |since: usize, step: StepIx| {
        let id = &catalog.step(step).entry.id;
        job.done[since..].iter().any(|done| done.step.step == *id)
    };
    let after_last = |of: &dyn Fn(&DoneStep) -> bool| {
        let last = job.done.iter().rposition(of);
        last.map_or(0, |at| at + 1)
    };
    if opens {
        let since = after_last(&proves_live);
        whole.make_safe.retain(|step| !is_done(since, *step));
    } else {
        let since = after_last(&|one| !proves(one) && one.step.phase != JobPhase::Energise);
        whole.make_safe.clear();
        whole.prove_dead.retain(|(_, step)| !is_done(since, *step));
        whole.prove.retain(|(_, step)| !is_done(since, *step));
        if whole.prove.is_empty() {
            let since = after_last(&|one| one.step.phase != JobPhase::HandOver);
            whole.hand_over.retain(|step| !is_done(since, *step));
        }
    }
    whole
}
