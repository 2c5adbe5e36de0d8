//! Whether an entry is still valid when its turn comes: a tap may have waited behind
//! another one that changed the job.

use lidoff_catalog::format::RecordId;
use lidoff_job::fold::is_undone;
use lidoff_job::{
    EventId, EventKind, Job, Log, Outcome, PlannedStep, Reason, RecordedValue, Stamp, Status,
    TaskProgress, TaskRef,
};

use super::command::{CommandError, Unchanged};

/// What happens to an entry.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Verdict {
    /// Record it.
    Record,
    /// Skip it: the job already contains it.
    Skip(Unchanged),
}

/// What to do with this entry, given the job. Entries that add up (notes, photos, lost
/// fasteners) are always recorded: two taps can mean two screws.
///
/// # Errors
/// When a step cannot be done, its failure not be accepted, or an entry not be undone.
pub(super) fn check(
    log: &Log,
    job: &Job,
    entry: &EventKind,
    at: &Stamp,
) -> Result<Verdict, CommandError> {
    match entry {
        EventKind::Done { step } => return check_done(job, *step, at),
        EventKind::Undone { event } => return check_undone(log, *event),
        EventKind::Closed {
            outcome: Outcome::Complete,
            ..
        } if !matches!(job.status, Status::Closed { .. }) && job.open_tasks().next().is_some() => {
            return Err(CommandError::TasksOpen);
        }
        EventKind::FailureKept { step, .. }
            if job.step(*step).is_some_and(PlannedStep::stops_on_failure) =>
        {
            return Err(CommandError::Stopped);
        }
        EventKind::Recorded {
            step,
            record,
            value,
        } => check_value(job, *step, record, value)?,
        _ => {}
    }
    Ok(if is_recorded(log, job, entry, at) {
        Verdict::Skip(match entry {
            EventKind::Closed { .. } => Unchanged::AlreadyClosed,
            _ => Unchanged::AlreadyRecorded,
        })
    } else {
        Verdict::Record
    })
}

/// A step can be marked done only while it is the current one and all its demands are
/// ticked: an entry that came before may have removed a tick.
fn check_done(job: &Job, step: u32, at: &Stamp) -> Result<Verdict, CommandError> {
    if job.done.iter().any(|done| done.step.number == step) {
        return Ok(Verdict::Skip(Unchanged::AlreadyDone { step }));
    }
    match &job.status {
        Status::Paused(reason) => return Err(CommandError::Paused(*reason)),
        Status::Closed { .. } => return Err(CommandError::Closed),
        // The first event of a log can be lost; the steps are still there.
        Status::Running | Status::NotOpened => {}
    }
    if job.next().is_none_or(|next| next.number != step) {
        return Err(CommandError::StepNotInHand);
    }
    if job.is_plan_stale() {
        return Err(CommandError::PlanStale);
    }
    if job.is_stopped() {
        return Err(CommandError::Stopped);
    }
    if !job.demands().is_met() {
        return Err(CommandError::DemandsOpen);
    }
    if job.wait_before(at).is_some_and(|wait| wait.left_ms > 0) {
        return Err(CommandError::WaitRuns);
    }
    Ok(Verdict::Record)
}

/// A value must be one that the step asks for, in the form that it asks for.
fn check_value(
    job: &Job,
    step: u32,
    record: &RecordId,
    value: &RecordedValue,
) -> Result<(), CommandError> {
    let asked = job.step(step).map(|step| step.records.as_slice());
    let asked = asked.unwrap_or_default();
    let asked = asked.iter().find(|asked| asked.id == *record);
    let asked = asked.ok_or(CommandError::ValueNotAsked)?;
    if job.repeats_old_part(asked, value) {
        Err(CommandError::ValueOfOldPart(Box::new(asked.clone())))
    } else if job.accepts(asked, value) {
        Ok(())
    } else {
        Err(CommandError::BadValue(Box::new(asked.clone())))
    }
}

fn check_undone(log: &Log, event: EventId) -> Result<Verdict, CommandError> {
    match log.get(event).map(|event| &event.kind) {
        None | Some(EventKind::Opened(_)) => Err(CommandError::NothingToUndo),
        Some(_) if is_undone(log, event) => Ok(Verdict::Skip(Unchanged::AlreadyUndone)),
        Some(_) => Ok(Verdict::Record),
    }
}

/// Whether the job already contains what this entry would record.
fn is_recorded(log: &Log, job: &Job, entry: &EventKind, at: &Stamp) -> bool {
    match entry {
        EventKind::Paused { reason, part, note } => {
            let last = job.pauses.last();
            job.status == Status::Paused(*reason)
                && last.is_some_and(|last| last.part == *part && last.note == *note)
        }
        EventKind::Resumed => job.status == Status::Running,
        EventKind::Gap { from_ms, to_ms, .. } => is_gap_answered(log, *from_ms, *to_ms, at),
        // A step may ask again what was answered before: the same answer is news then.
        EventKind::Answered { question, answer } => {
            job.setup.answers.get(question) == Some(answer)
                && job.demands().answer.as_ref() != Some(question)
        }
        EventKind::TaskAdded(task) => is(job, &task.task, TaskProgress::Open),
        EventKind::TaskDropped(task) | EventKind::TaskLeft(task) => {
            !is(job, task, TaskProgress::Open)
        }
        EventKind::Blocked(way) => job.blocked.contains(way),
        EventKind::Unblocked(op) => job.blocked.iter().all(|way| way.op != *op),
        // Together with a newly added task, it is the reason for the new plan.
        EventKind::FoundBroken(part) => {
            job.broken.contains(part) && job.replan_due.as_ref().is_none_or(is_broken)
        }
        EventKind::FittedWith { fitted } => job.setup.fitted == *fitted,
        EventKind::TurnedBack => job.is_closing(),
        EventKind::PartUnavailable(part) => job.unavailable_parts.contains(part),
        // A repeated reading after a failed check is recorded.
        EventKind::Read { step, taken } => {
            let mut readings = job.readings.iter().rev();
            let last = readings.find(|reading| reading.step == *step);
            last.is_some_and(|last| last.taken == *taken && last.passed != Some(false))
        }
        EventKind::PartlyDone {
            step,
            fastening,
            count,
        } => job.partly_done.iter().any(|one| {
            one.step.number == *step && one.fastening == *fastening && one.count == *count
        }),
        EventKind::FailureKept { step, note } => job.failure_kept(*step) == Some(note),
        EventKind::Recorded {
            step,
            record,
            value,
        } => {
            let known = job.step(*step).and_then(|step| job.value_at(step, record));
            known.is_some_and(|known| known.value == *value)
        }
        EventKind::Confirmed { step } => job.confirmed.contains(step),
        EventKind::Heeded { hazard, step } => job.heeded.contains(&(hazard.clone(), *step)),
        EventKind::DemandMet {
            hazard,
            step,
            demand,
        } => {
            let mut met = job.met.iter();
            met.any(|one| one.hazard == *hazard && one.step == *step && one.demand == *demand)
        }
        EventKind::WaitCutShort { wait, step, .. } => {
            let mut skipped = job.cut_short.iter();
            skipped.any(|one| one.wait == *wait && one.step == *step)
        }
        EventKind::Explained {
            fastening,
            difference,
            note,
        } => job.explained.iter().any(|one| {
            one.fastening == *fastening && one.difference == *difference && one.note == *note
        }),
        EventKind::Accounted { owed, note } => {
            job.accounted.contains(&(owed.clone(), note.clone()))
        }
        EventKind::OldPartHandled { part, duty } => {
            let mut handled = job.handled.iter();
            handled.any(|(_, known, done)| known == part && done == duty)
        }
        EventKind::LeaveBy { at_ms } => job.leave_by_ms == *at_ms,
        EventKind::HandedOver { to, note } => job.handed_over == Some((to.clone(), note.clone())),
        EventKind::Closed { .. } => matches!(job.status, Status::Closed { .. }),
        // A wait that is started again runs from the later tap, which is the safe side.
        EventKind::WaitBegun { .. }
        | EventKind::AppRestarted(_)
        | EventKind::DangerFound { .. }
        | EventKind::FastenerLost(_)
        | EventKind::FastenerStripped(_)
        | EventKind::SpareUsed(_)
        | EventKind::CatalogWrong { .. }
        | EventKind::PhotoTaken(_)
        | EventKind::Note { .. }
        | EventKind::Opened(_)
        | EventKind::Planned { .. }
        | EventKind::Done { .. }
        | EventKind::Undone { .. }
        | EventKind::Unknown(_) => false,
    }
}

fn is(job: &Job, task: &TaskRef, state: TaskProgress) -> bool {
    let mut tasks = job.tasks.iter();
    tasks.any(|one| one.task.task == *task && one.state == state)
}

fn is_broken(reason: &Reason) -> bool {
    *reason == Reason::PartBroken
}

/// Whether this run has already answered for a part of that span: with a second answer, its
/// idle time would be subtracted twice.
fn is_gap_answered(log: &Log, from_ms: i64, to_ms: i64, at: &Stamp) -> bool {
    let mut events = log.events().iter().rev();
    events.any(|event| match &event.kind {
        EventKind::Gap {
            from_ms: from,
            to_ms: to,
            ..
        } => event.id.run == at.run && *from < to_ms && from_ms < *to && !is_undone(log, event.id),
        _ => false,
    })
}
