//! The app is started again: waits, plans and copies of a job.

use lidoff_app_core::session::{Command, CommandError};
use lidoff_job::log::{json, record_key};
use lidoff_job::{EventKind, HazardWait, JobId, Log, Outcome, fold};
use lidoff_testkit::demo::{perch, sorrel};
use lidoff_testkit::visit::replace;

use super::device::{Device, MINUTE, meeting_demands};

/// Does everything up to the step that waits for the charge to drain, in a second each.
/// Returns how long that took, ms.
fn do_up_to_the_wait(device: &mut Device, id: &JobId) -> i64 {
    let mut took_ms = 0;
    while device.job(id).next().expect("it is ahead").step.as_str() != "safe-11" {
        do_one(device, id);
        took_ms += 1_000;
    }
    took_ms
}

fn do_one(device: &mut Device, id: &JobId) {
    let job = device.job(id);
    let (wait_ms, mut entries) = meeting_demands(&device.catalog, &job, &device.now);
    assert_eq!(wait_ms, 0);
    device.pass(1_000);
    let step = job.next().expect("a step").number;
    entries.push(EventKind::Done { step });
    device.record(id, entries).expect("stored");
}

/// A job at a step that waits for the charge to drain, and what is left of the wait.
fn waiting() -> (Device, JobId, i64) {
    let mut device = Device::new(perch());
    let id = device.open(&[replace("psu")]);
    do_up_to_the_wait(&mut device, &id);
    let left = left_ms(&device, &id);
    assert!(left > MINUTE, "{left}");
    (device, id, left)
}

fn left_ms(device: &Device, id: &JobId) -> i64 {
    let wait = device.job(id).wait_before(&device.now).expect("it waits");
    assert!(wait.guards);
    wait.left_ms
}

fn note(text: &str) -> Vec<EventKind> {
    let text = text.to_owned();
    vec![EventKind::Note { text, step: None }]
}

#[test]
fn a_wait_for_safety_does_not_end_early_however_the_clock_was_set_before_a_restart() {
    // Minutes by which the wall clock is ahead when the app is there again.
    for ahead in [-60, -1, 0, 1, 4, 60, 24 * 60] {
        let (mut device, id, mut left) = waiting();
        device.pass(20_000);
        left -= 20_000;
        device.restart_after(ahead * MINUTE);
        assert_eq!(left_ms(&device, &id), left, "{ahead} min");
        device.pass(10_000);
        left -= 10_000;
        assert_eq!(left_ms(&device, &id), left, "{ahead} min");

        // An entry does not change that. After a long gap the isolation is verified again, and
        // the wait with it.
        device.record(&id, note("warm")).expect("stored");
        left -= do_up_to_the_wait(&mut device, &id);
        assert!(left_ms(&device, &id) >= left, "{ahead} min");
        left = left_ms(&device, &id);
        // Nor do two restarts without an entry.
        for _ in 0..2 {
            device.pass(5_000);
            left -= 5_000;
            device.restart_after(0);
            device.record_what_is_due();
        }
        assert_eq!(left_ms(&device, &id), left, "{ahead} min");

        let step = device.job(&id).next().expect("a step").number;
        let (_, mut entries) = meeting_demands(&device.catalog, &device.job(&id), &device.now);
        entries.push(EventKind::Done { step });
        let early = device.record(&id, entries.clone());
        assert_eq!(early.err(), Some(CommandError::WaitRuns), "{ahead} min");
        device.pass(left);
        assert_eq!(left_ms(&device, &id), 0, "{ahead} min");
        device.record(&id, entries).expect("the wait is over");
    }
}

#[test]
fn time_that_does_not_count_is_told_and_a_reload_without_a_gap_tells_nothing() {
    let (mut device, id, _) = waiting();
    let unmeasured = |device: &Device| {
        let wait = device.job(&id).wait_before(&device.now).expect("it waits");
        wait.unmeasured_ms
    };
    device.pass(20_000);
    assert_eq!(unmeasured(&device), 0);
    device.restart_after(0);
    device.record_what_is_due();
    device.pass(20_000);
    assert_eq!(unmeasured(&device), 0);
    device.restart_after(7 * MINUTE);
    assert_eq!(unmeasured(&device), 7 * MINUTE);
}

#[test]
fn a_plan_made_after_a_restart_still_waits_for_safety() {
    let (mut device, id, left) = waiting();
    device.restart_after(60 * MINUTE);
    let way = lidoff_app_core::blocked_operation::blocked_operation;
    let job = device.job(&id);
    let blocked = job.remaining.iter().rev().find_map(way);
    let blocked = blocked.expect("something can be blocked");
    // Whatever the plan becomes, what it waits for is not over.
    let _planned = device.record(&id, vec![EventKind::Blocked(blocked)]);
    let position = lidoff_job::position(&device.job(&id), &device.catalog, &device.now);
    let waits = position.expect("it is somewhere").now.waits;
    let tenths: Vec<i64> = waits.iter().map(|(_, left)| i64::from(*left)).collect();
    assert_eq!(tenths, [left / 100]);
}

#[test]
fn the_wait_of_a_hazard_counts_no_time_that_nobody_measured() {
    let mut device = Device::new(perch());
    let id = device.open(&[replace("filter")]);
    let hazard = lidoff_catalog::format::HazardId::from("hot-heater");
    let begun = EventKind::WaitBegun {
        hazard: hazard.clone(),
    };
    device.record(&id, vec![begun]).expect("stored");
    device.pass(3 * MINUTE);
    device.restart_after(60 * MINUTE);
    let job = device.job(&id);
    let wait = job.hazard_wait(&hazard, job.next().expect("a step"), 10, &device.now);
    let running = HazardWait::Running {
        left_ms: 7 * MINUTE,
        unmeasured_ms: 60 * MINUTE,
    };
    assert_eq!(wait, running);
}

#[test]
fn a_job_whose_plan_was_not_stored_gets_one_at_the_next_start() {
    let mut device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let planned = device.sink.logs().remove(0);
    // The app was killed between the two.
    let opened = planned.before(planned.events()[1].id);
    device.sink.remove(&id);
    for event in opened.events() {
        device.sink.put(&id, &record_key(event.id), &json(event));
    }
    device.restart_after(2_000);
    assert!(device.job(&id).plan.is_none());
    let due = device.session.borrow().due();
    assert_eq!(due, std::slice::from_ref(&id));
    device.record(&id, Vec::new()).expect("planned");
    assert_eq!(device.job(&id).remaining, fold(&planned).remaining);
    assert!(device.session.borrow().due().is_empty());
}

#[test]
fn a_job_with_an_open_task_is_not_closed_as_complete() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let close = |outcome| {
        let note = String::new();
        device.record(&id, vec![EventKind::Closed { outcome, note }])
    };
    let refused = close(Outcome::Complete);
    assert_eq!(refused.err(), Some(CommandError::TasksOpen));
    assert!(!device.job(&id).can_complete());
    close(Outcome::AnotherVisit).expect("closed");
}

#[test]
fn a_job_without_a_plan_is_not_complete() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let log = &device.sink.logs()[0];
    let opened = fold(&log.before(log.events()[1].id));
    assert!(opened.remaining.is_empty());
    assert!(!opened.can_complete(), "{id}: its task is open");
}

#[test]
fn a_copy_of_a_job_never_replaces_what_this_device_recorded() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    device.record(&id, note("ours")).expect("stored");
    let ours = device.sink.logs().remove(0);
    // On another device, other things happened under the same names: one sorts before ours
    // as JSON, one after.
    for text in ["a different note", "yet another note"] {
        let mut copy = Log::new(id.clone());
        for event in ours.events() {
            let mut event = event.clone();
            if let EventKind::Note { text: own, .. } = &mut event.kind {
                *own = text.to_owned();
            }
            copy.append(event).expect("new");
        }
        let more = copy.draft(device.now, note("what they did next").remove(0));
        copy.append(more.clone()).expect("new");
        let mut here = ours.clone();
        let (taken, refused) = here.take_in(copy.clone());
        assert_eq!(taken, [more]);
        assert_eq!(refused.len(), 1);
        assert!(refused[0].text.contains(text));
        let refused = device.session.borrow_mut().merge(copy, &device.now);
        assert_eq!(refused.len(), 1);
        let texts: Vec<_> = device
            .job(&id)
            .notes
            .iter()
            .map(|one| one.text.clone())
            .collect();
        assert_eq!(texts, ["ours", "what they did next"], "{text}");
        let again = Command::record(id.as_str(), Vec::new()).expect("entries");
        assert!(device.run(again).is_ok());
        device
            .session
            .borrow_mut()
            .replace(ours.clone(), &device.now);
    }
}
