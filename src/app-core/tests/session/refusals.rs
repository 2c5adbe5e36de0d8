//! Commands that are refused: nothing is stored, and the text says what to do.

use lidoff_app_core::session::{Command, CommandError, Executed, Session};
use lidoff_job::{EventKind, JobId, TaskRef};
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_testkit::demo::{perch, sorrel};
use lidoff_testkit::visit::replace;

use super::device::{Device, MINUTE, meeting_demands, named, opening};

fn open() -> (Device, JobId) {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    (device, id)
}

#[test]
fn a_window_that_only_reads_records_nothing_and_still_tells_what_a_plan_would_be() {
    let (device, id) = open();
    let stored = device.stored();
    device.session.borrow_mut().set_read_only(true);
    let memory = EventKind::TaskAdded(named(&device.catalog, &replace("memory")));
    let refused = device.record(&id, vec![memory.clone()]);
    assert_eq!(refused.err(), Some(CommandError::ReadOnly));
    assert_eq!(device.stored(), stored);
    let preview = {
        let mut handler = RunToEnd;
        let session = device.session.borrow();
        let planning = session.preview(id.as_str(), vec![memory], device.now, &mut handler);
        block_on(planning)
    };
    let now = device.job(&id).plan.as_ref().map(|plan| plan.total_s);
    assert!(Some(preview.expect("a plan").total_s) > now);
    device.session.borrow_mut().set_read_only(false);
    let resumed = device.record(
        &id,
        vec![EventKind::Note {
            text: "on".into(),
            step: None,
        }],
    );
    assert!(matches!(resumed, Ok(Executed::Stored { .. })));
}

#[test]
fn nothing_is_done_before_the_jobs_are_read() {
    let device = Device::new(sorrel());
    let command = opening(&device.catalog, &[replace("fan")]);
    let refused = Session::new().handle(command, device.now);
    assert_eq!(refused.err(), Some(CommandError::NotLoaded));
}

#[test]
fn a_job_that_is_not_on_this_device_is_named() {
    let (device, _) = open();
    let other = JobId("elsewhere".to_owned());
    let refused = device.record(&other, vec![EventKind::Resumed]);
    assert_eq!(refused.err(), Some(CommandError::NoSuchJob(other)));
}

#[test]
fn without_its_catalog_a_job_goes_on_as_planned_and_takes_no_new_task() {
    let (device, id) = open();
    let memory = named(&device.catalog, &replace("memory"));
    let mut session = device.session.borrow_mut();
    session.set_library(vec![perch()], Vec::new());
    drop(session);
    let stored = device.stored();
    let refused = device.record(&id, vec![EventKind::TaskAdded(memory)]);
    let unit = device.catalog.unit().id.clone();
    assert_eq!(refused.err(), Some(CommandError::NoCatalog { unit }));
    assert_eq!(device.stored(), stored);
    let note = EventKind::Note {
        text: "lid off".to_owned(),
        step: None,
    };
    let noted = device.record(&id, vec![note]);
    assert!(matches!(noted, Ok(Executed::Stored { .. })), "{noted:?}");
}

#[test]
fn what_the_planner_refuses_is_said_in_its_words() {
    let device = Device::new(sorrel());
    let mut command = opening(&device.catalog, &[replace("fan")]);
    if let Command::Open(opened) = &mut command {
        opened.tasks[0].task = TaskRef::Replace("no-such-part".into());
    }
    let refused = device.run(command);
    let Err(CommandError::NoPlan(why)) = refused else {
        panic!("{refused:?}");
    };
    assert!(why.contains("no-such-part"), "{why}");
    assert!(device.stored().is_empty());
}

#[test]
fn a_step_with_an_open_hazard_is_not_marked_done() {
    let (mut device, id) = open();
    let catalog = device.catalog.clone();
    // Each step up to the first with a hazard, then that one without its tick.
    while device.job(&id).demands().heed.is_empty() {
        let job = device.job(&id);
        let (wait_ms, entries) = meeting_demands(&catalog, &job, &device.now);
        device.pass(wait_ms + MINUTE);
        for entry in entries {
            device.record(&id, vec![entry]).expect("recorded");
        }
        let step = job.next().expect("a hazard is ahead").number;
        let done = device.record(&id, vec![EventKind::Done { step }]);
        done.expect("recorded");
    }
    let stored = device.stored();
    let step = device.job(&id).next().expect("a step").number;
    let refused = device.record(&id, vec![EventKind::Done { step }]);
    assert_eq!(refused.err(), Some(CommandError::DemandsOpen));
    assert_eq!(device.stored(), stored);
}

#[test]
fn a_tick_that_is_taken_back_before_done_holds_the_step_up() {
    let (device, id) = open();
    let job = device.job(&id);
    let step = job.next().expect("a step").number;
    let (_, entries) = meeting_demands(&device.catalog, &job, &device.now);
    assert!(!entries.is_empty(), "the first step demands something");
    device.record(&id, entries).expect("recorded");
    let (tick, _) = device.job(&id).head.expect("it has events");
    let undo = EventKind::Undone { event: tick };
    device.record(&id, vec![undo]).expect("recorded");
    let refused = device.record(&id, vec![EventKind::Done { step }]);
    assert_eq!(refused.err(), Some(CommandError::DemandsOpen));
}

#[test]
fn a_step_is_not_marked_done_before_its_wait_is_over_nor_out_of_turn() {
    let mut device = Device::new(lidoff_testkit::demo::perch());
    let id = device.open(&[TaskRef::Replace("psu".into())]);
    let catalog = device.catalog.clone();
    let mut waited = false;
    while let Some(step) = device.job(&id).next().map(|step| step.number) {
        let ahead = device.job(&id).remaining.get(1).map(|step| step.number);
        if let Some(ahead) = ahead {
            let refused = device.record(&id, vec![EventKind::Done { step: ahead }]);
            assert_eq!(refused.err(), Some(CommandError::StepNotInHand));
        }
        let job = device.job(&id);
        let (wait_ms, entries) = meeting_demands(&catalog, &job, &device.now);
        for entry in entries {
            device.record(&id, vec![entry]).expect("recorded");
        }
        if wait_ms > 0 {
            waited = true;
            let refused = device.record(&id, vec![EventKind::Done { step }]);
            assert_eq!(refused.err(), Some(CommandError::WaitRuns));
            device.pass(wait_ms);
        }
        let done = device.record(&id, vec![EventKind::Done { step }]);
        assert!(matches!(done, Ok(Executed::Stored { .. })), "{done:?}");
    }
    assert!(waited, "a wait lies before a step of this job");
}

#[test]
fn the_opening_of_a_job_cannot_be_undone() {
    let (device, id) = open();
    let session = device.session.borrow();
    let log = std::sync::Arc::clone(&session.find(id.as_str()).expect("open").log);
    drop(session);
    let event = log.events()[0].id;
    let refused = device.record(&id, vec![EventKind::Undone { event }]);
    assert_eq!(refused.err(), Some(CommandError::NothingToUndo));
}
