//! Taps made twice: what the job says already is not recorded again, and what
//! adds up is.

use lidoff_app_core::session::{CommandError, Executed, Unchanged};
use lidoff_job::{EventKind, JobId, Mishap, Outcome, PauseReason, Taken, TaskRef};
use lidoff_testkit::demo::sorrel;
use lidoff_testkit::visit::replace;

use super::device::{Device, MINUTE, meeting_demands, named};

fn open() -> (Device, JobId) {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    (device, id)
}

/// Records the same entries twice: whether the second time changed nothing.
fn is_once(device: &mut Device, id: &JobId, entries: Vec<EventKind>) -> bool {
    let first = device.record(id, entries.clone());
    assert!(matches!(first, Ok(Executed::Stored { .. })), "{first:?}");
    let stored = device.stored();
    device.pass(700);
    match device.record(id, entries) {
        Ok(Executed::Unchanged(_)) => {
            assert_eq!(device.stored(), stored);
            true
        }
        Ok(Executed::Stored { .. }) => false,
        Err(error) => panic!("{error}"),
    }
}

#[test]
fn what_the_job_says_already_is_recorded_once() {
    let (mut device, id) = open();
    let job = device.job(&id);
    let step = job.next().expect("a step").number;
    let hazard = job.hazards[0].id.clone();
    let memory = named(&device.catalog, &replace("memory"));
    let fan = TaskRef::Replace("fan".into());
    for entries in [
        vec![EventKind::Heeded {
            hazard: hazard.clone(),
            step,
        }],
        vec![EventKind::DemandMet {
            hazard,
            step,
            demand: 0,
        }],
        vec![EventKind::Confirmed { step }],
        vec![EventKind::LeaveBy {
            at_ms: Some(device.now.wall_ms + 90 * MINUTE),
        }],
        vec![EventKind::Paused {
            reason: PauseReason::Break,
            part: None,
            note: String::new(),
        }],
        vec![EventKind::Resumed],
        vec![
            EventKind::TaskAdded(memory.clone()),
            EventKind::FoundBroken(memory.clone()),
        ],
        vec![EventKind::TaskDropped(fan)],
        vec![EventKind::TurnedBack],
        vec![
            EventKind::HandedOver {
                to: "P. Alder".to_owned(),
                note: String::new(),
            },
            EventKind::Closed {
                outcome: Outcome::AnotherVisit,
                note: String::new(),
            },
        ],
    ] {
        let text = format!("{entries:?}");
        assert!(is_once(&mut device, &id, entries), "{text}");
    }
}

#[test]
fn two_screws_lost_and_two_notes_are_two() {
    let (mut device, id) = open();
    let undo = device.job(&id).remaining.iter().find_map(|step| {
        let set = step.undo.first()?;
        Some(set.fastening.clone())
    });
    let mishap = Mishap {
        fastening: undo.expect("a step undoes fasteners"),
        count: 1,
        note: String::new(),
    };
    assert!(!is_once(
        &mut device,
        &id,
        vec![EventKind::FastenerLost(mishap)]
    ));
    assert_eq!(device.job(&id).lost.len(), 2);
    let note = EventKind::Note {
        text: "lid off".to_owned(),
        step: None,
    };
    assert!(!is_once(&mut device, &id, vec![note]));
}

#[test]
fn a_check_that_failed_can_be_read_again_with_the_same_result() {
    let (mut device, id) = open();
    let catalog = device.catalog.clone();
    while device
        .job(&id)
        .next()
        .is_some_and(|step| step.reading.is_none())
    {
        let job = device.job(&id);
        let (wait_ms, entries) = meeting_demands(&catalog, &job, &device.now);
        device.pass(wait_ms + MINUTE);
        for entry in entries {
            device.record(&id, vec![entry]).expect("recorded");
        }
        let step = job.next().expect("a step").number;
        let done = device.record(&id, vec![EventKind::Done { step }]);
        done.expect("recorded");
    }
    let job = device.job(&id);
    let step = job.next().expect("a check is ahead").number;
    let asked = job.next().and_then(|step| step.reading.clone());
    let passing = lidoff_testkit::visit::passing(&asked.expect("it is read"));
    let failing = match passing {
        Taken::Value(_) => Taken::Value(f64::MAX),
        Taken::Seen(seen) => Taken::Seen(!seen),
    };
    let read = |taken| vec![EventKind::Read { step, taken }];
    assert!(!is_once(&mut device, &id, read(failing)));
    assert!(is_once(&mut device, &id, read(passing)));
}

#[test]
fn undone_twice_is_undone_once_and_can_be_undone_in_turn() {
    let (mut device, id) = open();
    let note = EventKind::Note {
        text: "lid off".to_owned(),
        step: None,
    };
    device.record(&id, vec![note]).expect("recorded");
    let event = device.job(&id).notes[0].event;
    let undo = vec![EventKind::Undone { event }];
    assert!(is_once(&mut device, &id, undo));
    assert!(device.job(&id).notes.is_empty());
    let (undo, _) = device.job(&id).head.expect("it has events");
    let again = device.record(&id, vec![EventKind::Undone { event: undo }]);
    assert!(matches!(again, Ok(Executed::Stored { .. })));
    assert_eq!(device.job(&id).notes.len(), 1);
}

#[test]
fn idle_time_is_taken_off_once() {
    let (mut device, id) = open();
    device.pass(30 * MINUTE);
    let to_ms = device.now.wall_ms;
    let gap = |to_ms| {
        vec![EventKind::Gap {
            from_ms: to_ms - 10 * MINUTE,
            to_ms,
            work_ms: 0,
        }]
    };
    device.record(&id, gap(to_ms)).expect("recorded");
    let worked_ms = device.job(&id).worked_ms;
    assert_eq!(worked_ms, 20 * MINUTE);
    // The second tap, a second later, names the span a second later.
    device.pass(1_000);
    let again = device.record(&id, gap(to_ms + 1_000));
    let is_unchanged = matches!(again, Ok(Executed::Unchanged(Unchanged::AlreadyRecorded)));
    assert!(is_unchanged, "{again:?}");
    assert_eq!(device.job(&id).worked_ms, worked_ms);
}

#[test]
fn no_entries_on_a_job_with_its_plan_are_nothing() {
    let (device, id) = open();
    let nothing = device.record(&id, Vec::new());
    let is_nothing = matches!(nothing, Ok(Executed::Unchanged(Unchanged::NothingAsked)));
    assert!(is_nothing, "{nothing:?}");
    let planned = EventKind::Planned {
        plan: device.job(&id).plan.clone().expect("a plan"),
        because: lidoff_job::Reason::First,
    };
    let refused = device.record(&id, vec![planned]);
    assert_eq!(refused.err(), Some(CommandError::NotAnEntry));
}
