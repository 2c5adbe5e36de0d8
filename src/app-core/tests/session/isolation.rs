//! A finding stops the work: readings that fail, isolation that is lost or in doubt, and
//! answers for which there is no plan.

use lidoff_app_core::outlook::closing_warning;
use lidoff_app_core::session::{CommandError, Executed};
use lidoff_job::{Danger, EventKind, Job, JobId, PauseReason, Reason, Taken};
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_testkit::demo::sorrel;
use lidoff_testkit::powered_unit::powered_unit;
use lidoff_testkit::visit::replace;

use super::device::{Device, MINUTE, meeting_demands};

fn open(parts: &[&str]) -> (Device, JobId) {
    let device = Device::new(powered_unit());
    let tasks: Vec<_> = parts.iter().map(|part| replace(part)).collect();
    let id = device.open(&tasks);
    (device, id)
}

fn next(device: &Device, id: &JobId) -> String {
    let job = device.job(id);
    job.next().expect("a step is in hand").step.to_string()
}

fn steps(job: &Job) -> Vec<&str> {
    let left = job.remaining.iter();
    left.map(|step| step.step.as_str()).collect()
}

/// Records these entries, which must be stored.
fn say(device: &Device, id: &JobId, entries: Vec<EventKind>) {
    let said = device.record(id, entries);
    assert!(matches!(said, Ok(Executed::Stored { .. })), "{said:?}");
}

fn done(device: &Device, id: &JobId) -> Result<Executed, CommandError> {
    let step = device.job(id).next().expect("a step").number;
    device.record(id, vec![EventKind::Done { step }])
}

fn read(device: &Device, id: &JobId, volts: f64) {
    let step = device.job(id).next().expect("a step").number;
    let taken = Taken::Value(volts);
    say(device, id, vec![EventKind::Read { step, taken }]);
}

/// Does steps, meeting what they demand, until this one is in hand.
fn do_up_to(device: &mut Device, id: &JobId, step: &str) {
    while next(device, id) != step {
        let (wait_ms, entries) = meeting_demands(&device.catalog, &device.job(id), &device.now);
        device.pass(wait_ms + 1_000);
        if !entries.is_empty() {
            say(device, id, entries);
        }
        done(device, id).expect("its demands are met");
    }
}

fn pause(device: &mut Device, id: &JobId, minutes: i64) {
    let pause = EventKind::Paused {
        reason: PauseReason::Break,
        part: None,
        note: String::new(),
    };
    say(device, id, vec![pause]);
    device.pass(minutes * MINUTE);
    say(device, id, vec![EventKind::Resumed]);
}

fn undo(device: &Device, id: &JobId) {
    let job = device.job(id);
    let entries = job.undo_next().iter().rev();
    let entries = entries.map(|event| EventKind::Undone { event: *event });
    say(device, id, entries.collect());
}

#[test]
fn a_failed_dead_test_stops_the_work_until_it_passes() {
    let (mut device, id) = open(&["fan"]);
    do_up_to(&mut device, &id, "mains-dead");
    read(&device, &id, 230.0);
    assert!(device.job(&id).is_stopped());
    assert_eq!(done(&device, &id).err(), Some(CommandError::Stopped));
    let step = device.job(&id).next().expect("a step").number;
    let kept = EventKind::FailureKept {
        step,
        note: "the lamp is on".to_owned(),
    };
    let kept = device.record(&id, vec![kept]);
    assert_eq!(kept.err(), Some(CommandError::Stopped));
    // Everything else goes on being recorded.
    let note = EventKind::Note {
        text: "another feed?".to_owned(),
        step: Some(step),
    };
    let danger = EventKind::DangerFound {
        what: Danger::LivePart,
        step: Some(step),
        note: String::new(),
    };
    say(&device, &id, vec![note, danger]);
    pause(&mut device, &id, 5);
    assert!(device.job(&id).is_stopped(), "a pause changes nothing");
    assert_eq!(device.job(&id).dangers.len(), 1);
    read(&device, &id, 12.0);
    assert!(device.job(&id).is_stopped());
    read(&device, &id, 0.0);
    assert!(!device.job(&id).is_stopped());
    done(&device, &id).expect("it passed");
    assert_eq!(next(&device, &id), "charge-drain");
}

#[test]
fn a_live_part_puts_isolating_first_and_then_the_reading_again() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "board-dead");
    let before = device.job(&id);
    let lines: Vec<_> = before.power_line().collect();
    assert_eq!(lines, ["charge isolated", "mains isolated"]);
    read(&device, &id, 230.0);
    let job = device.job(&id);
    assert_eq!(job.isolated, []);
    let lines: Vec<_> = job.power_line().collect();
    assert_eq!(lines, ["charge live", "mains live"], "what it feeds, too");
    let first = ["mains-lock", "mains-dead", "charge-drain", "board-dead"];
    assert_eq!(steps(&job)[..4], first);
    // A second failure, in the middle of isolating again, starts isolating again.
    do_up_to(&mut device, &id, "mains-dead");
    let half_way = device.job(&id);
    let lines: Vec<_> = half_way.power_line().collect();
    assert_eq!(lines, ["charge live", "mains: being isolated"]);
    read(&device, &id, 230.0);
    assert!(device.job(&id).is_stopped());
    read(&device, &id, 0.0);
    do_up_to(&mut device, &id, "board-dead");
    assert_eq!(device.job(&id).isolated.len(), 2);
    read(&device, &id, 0.0);
    do_up_to(&mut device, &id, "write-it-down");
    let job = device.job(&id);
    let clips = job
        .done
        .iter()
        .filter(|done| done.step.step.as_str() == "board-clips");
    assert_eq!(clips.count(), 1, "what was begun is gone on with");
    assert_eq!(job.isolated, []);
    assert_eq!(job.findings, []);
}

#[test]
fn a_new_plan_while_isolating_again_goes_on_with_what_was_begun() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "board-dead");
    read(&device, &id, 230.0);
    do_up_to(&mut device, &id, "mains-dead");
    let fan = super::device::named(&device.catalog, &replace("fan"));
    say(&device, &id, vec![EventKind::TaskAdded(fan)]);
    let job = device.job(&id);
    let first = ["mains-lock", "mains-dead", "charge-drain", "board-dead"];
    assert_eq!(steps(&job)[..4], first);
    let clips = steps(&job)
        .into_iter()
        .filter(|step| *step == "board-clips");
    assert_eq!(clips.count(), 0);
}

#[test]
fn a_source_made_live_on_purpose_is_not_isolated_again_for_an_earlier_failure() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "board-dead");
    read(&device, &id, 230.0);
    do_up_to(&mut device, &id, "runs");
    let fan = super::device::named(&device.catalog, &replace("fan"));
    say(&device, &id, vec![EventKind::TaskAdded(fan)]);
    assert_eq!(next(&device, &id), "shut-down", "make safe comes first");
}

#[test]
fn undoing_the_failed_reading_restores_the_isolation_and_the_plan() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "board-dead");
    let before = device.job(&id);
    read(&device, &id, 230.0);
    undo(&device, &id);
    let job = device.job(&id);
    assert_eq!(steps(&job), steps(&before));
    assert_eq!(job.isolated, before.isolated);
    assert_eq!(
        job.plans.last().map(|plan| &plan.because),
        Some(&Reason::EntryUndone)
    );
}

#[test]
fn closing_up_from_a_lost_isolation_begins_with_isolating() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "board-dead");
    read(&device, &id, 230.0);
    for begun in [false, true] {
        if begun {
            say(
                &device,
                &id,
                vec![EventKind::TaskAdded(super::device::named(
                    &device.catalog,
                    &replace("board"),
                ))],
            );
            do_up_to(&mut device, &id, "mains-dead");
        }
        say(&device, &id, vec![EventKind::TurnedBack]);
        let job = device.job(&id);
        let isolated = ["mains-lock", "mains-dead", "charge-drain"];
        assert_eq!(steps(&job)[..3], isolated, "begun: {begun}");
        let touches = |step: &&lidoff_job::PlannedStep| step.about.as_deref() == Some("cover");
        assert!(job.remaining.iter().skip(3).any(|step| touches(&step)));
    }
    do_up_to(&mut device, &id, "write-it-down");
    let last = device
        .job(&id)
        .done
        .iter()
        .map(|done| done.step.step.to_string())
        .collect::<Vec<_>>();
    let on = last.iter().rposition(|step| step == "cover-on");
    assert!(on < last.iter().rposition(|step| step == "mains-unlock"));
}

#[test]
fn after_a_long_pause_the_isolation_is_verified_before_work_goes_on() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "cover-lift");
    pause(&mut device, &id, 59);
    assert_eq!(next(&device, &id), "cover-lift");
    pause(&mut device, &id, 60);
    assert_eq!(steps(&device.job(&id))[..2], ["mains-dead", "cover-lift"]);
    assert_eq!(done(&device, &id).err(), Some(CommandError::DemandsOpen));
    // It fails: isolated again, and what was begun is gone on with.
    read(&device, &id, 230.0);
    let first = ["mains-lock", "mains-dead", "charge-drain", "cover-lift"];
    assert_eq!(steps(&device.job(&id))[..4], first);
    do_up_to(&mut device, &id, "board-dead");
    let screws = device
        .job(&id)
        .done
        .iter()
        .filter(|one| one.step.step.as_str() == "cover-screws-out")
        .count();
    assert_eq!(screws, 1);
    // The app was closed for two hours, which nobody counts as work.
    device.restart_after(120 * MINUTE);
    let gap = device.session.borrow().gaps()[&id];
    let answer = EventKind::Gap {
        from_ms: gap.from_ms,
        to_ms: gap.to_ms,
        work_ms: 0,
    };
    say(&device, &id, vec![answer]);
    assert_eq!(next(&device, &id), "mains-dead");
}

#[test]
fn closing_up_warns_while_the_unit_may_be_live() {
    let (mut device, id) = open(&["board"]);
    do_up_to(&mut device, &id, "mains-dead");
    assert_eq!(closing_warning(&device.job(&id)), None);
    read(&device, &id, 230.0);
    let warning = closing_warning(&device.job(&id)).expect("a warning");
    assert!(warning.contains("may be live"), "{warning}");
    read(&device, &id, 0.0);
    assert_eq!(closing_warning(&device.job(&id)), None);
    do_up_to(&mut device, &id, "board-dead");
    read(&device, &id, 230.0);
    assert!(
        closing_warning(&device.job(&id)).is_some(),
        "it is live again"
    );
}

#[test]
fn a_control_that_lasts_is_confirmed_once_and_again_after_a_pause() {
    let (mut device, id) = open(&["board", "fan"]);
    let strap = |device: &Device| {
        let heed = device.job(&id).demands().heed;
        heed.iter().any(|hazard| hazard.as_str() == "strap")
    };
    do_up_to(&mut device, &id, "cover-screws-out");
    assert!(strap(&device));
    do_up_to(&mut device, &id, "cover-lift");
    do_up_to(&mut device, &id, "fan-out");
    assert!(!strap(&device), "it is on");
    let heed = device.job(&id).demands().heed;
    assert_eq!(heed.len(), 1, "the edge is asked for at each step");
    pause(&mut device, &id, 1);
    assert!(strap(&device), "it was off meanwhile");
    let (_, entries) = meeting_demands(&device.catalog, &device.job(&id), &device.now);
    say(&device, &id, entries);
    assert!(!strap(&device));
    pause(&mut device, &id, 1);
    assert!(strap(&device), "also at the step where it was confirmed");
    do_up_to(&mut device, &id, "mains-unlock");
    assert_eq!(device.job(&id).standing, [], "the cover is on");
}

#[test]
fn an_answer_without_a_plan_is_stored_and_locks_the_old_plan() {
    let (device, id) = open(&["board", "fan"]);
    let glued = EventKind::Answered {
        question: "board-state".into(),
        answer: "glued".into(),
    };
    let answered = device.record(&id, vec![glued]);
    let Ok(Executed::Stored {
        unplanned: Some(CommandError::NoPlan(why)),
        ..
    }) = answered
    else {
        panic!("the answer is stored, and why there is no plan is said");
    };
    assert!(why.contains("board"), "{why}");
    let job = device.job(&id);
    let answer = job
        .setup
        .answers
        .iter()
        .find(|(question, _)| question.as_str() == "board-state");
    assert!(answer.is_some_and(|(_, answer)| answer.as_str() == "glued"));
    assert!(job.is_plan_stale());
    assert_eq!(job.plans.len(), 1, "the old plan stays");
    assert_eq!(done(&device, &id).err(), Some(CommandError::PlanStale));
    assert!(
        device.record(&id, Vec::new()).is_err(),
        "there is still none"
    );
    // Undo takes the answer back, and the plan is made anew; then it is given again.
    let entries: Vec<_> = job.undo_next().to_vec();
    assert_eq!(entries.len(), 1);
    undo(&device, &id);
    assert!(!device.job(&id).is_plan_stale());
    let glued = EventKind::Answered {
        question: "board-state".into(),
        answer: "glued".into(),
    };
    say(&device, &id, vec![glued]);
    // Without that task there is a plan.
    let left = {
        let (session, mut handler) = (device.session.borrow(), RunToEnd);
        block_on(session.tasks_to_leave(id.as_str(), Vec::new(), device.now, &mut handler))
    };
    let left = left.expect("the other task has a plan");
    let names: Vec<_> = left.iter().map(|task| task.name.as_str()).collect();
    assert_eq!(names, ["board"]);
    let leave = left.into_iter().map(|task| EventKind::TaskLeft(task.task));
    say(&device, &id, leave.collect());
    let job = device.job(&id);
    assert!(!job.is_plan_stale());
    assert_eq!(job.open_tasks().count(), 1);
    assert_eq!(
        job.plans.last().map(|plan| &plan.because),
        Some(&Reason::Answered)
    );
}

#[test]
fn undo_takes_back_an_answer_before_the_step_that_came_before_it() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("memory"), replace("long-battery-pack")]);
    let step = device.job(&id).next().expect("a step").number;
    let (_, entries) = meeting_demands(&device.catalog, &device.job(&id), &device.now);
    if !entries.is_empty() {
        say(&device, &id, entries);
    }
    say(&device, &id, vec![EventKind::Done { step }]);
    let before = device.job(&id);
    let swollen = EventKind::Answered {
        question: "battery-state".into(),
        answer: "swollen".into(),
    };
    let answered = device.record(&id, vec![swollen]);
    let Ok(Executed::Stored {
        replanned: Some(replanned),
        ..
    }) = answered
    else {
        panic!("it makes a new plan");
    };
    assert!(replanned.is_other);
    assert!(replanned.describe().is_some());
    assert_ne!(steps(&device.job(&id)), steps(&before));
    undo(&device, &id);
    let job = device.job(&id);
    assert_eq!(steps(&job), steps(&before));
    assert_eq!(job.done.len(), 1, "the step stays done");
    assert_eq!(
        job.plan.as_ref().map(|plan| plan.steps.len()),
        Some(job.remaining.len())
    );
    undo(&device, &id);
    assert_eq!(device.job(&id).done.len(), 0);
}
