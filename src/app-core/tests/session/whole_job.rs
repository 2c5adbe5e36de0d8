//! A whole job, from opening the unit to closing it.

use std::time::{Duration, Instant};

use lidoff_app_core::blocked_operation::blocked_operation;
use lidoff_app_core::session::{self, Command, Executed};
use lidoff_job::{EventKind, JobId, Outcome, PauseReason, Reason, Status, TaskProgress};
use lidoff_testkit::demo::sorrel;
use lidoff_testkit::visit::replace;

use super::device::{Device, MINUTE, meeting_demands, named, opening};

/// Carries a command out on a device; how is up to the test.
pub type CarryOut<'a> = dyn FnMut(&Device, Command) + 'a;

fn record(device: &Device, id: &JobId, entries: Vec<EventKind>, carry_out: &mut CarryOut<'_>) {
    let command = Command::record(id.as_str(), entries).expect("entries");
    carry_out(device, command);
}

/// Does the step in hand: everything that it demands, in its own entries, then
/// Done.
fn do_step(device: &mut Device, id: &JobId, carry_out: &mut CarryOut<'_>) {
    let job = device.job(id);
    let step = job.next().expect("a step is in hand").clone();
    let (wait_ms, entries) = meeting_demands(&device.catalog, &job, &device.now);
    device.pass(wait_ms + (step.expected_s() * 1000.0).round() as i64);
    for entry in entries {
        record(device, id, vec![entry], carry_out);
    }
    record(
        device,
        id,
        vec![EventKind::Done { step: step.number }],
        carry_out,
    );
}

/// The whole job: the fan, and what is found on the way.
pub fn work(device: &mut Device, carry_out: &mut CarryOut<'_>) -> JobId {
    carry_out(device, opening(&device.catalog, &[replace("fan")]));
    let id = device.session.borrow().jobs().expect("they are read")[0]
        .log
        .job()
        .clone();
    for _ in 0..8 {
        do_step(device, &id, carry_out);
    }

    // Interrupted: a break, and the app is closed.
    let pause = EventKind::Paused {
        reason: PauseReason::Break,
        part: None,
        note: String::new(),
    };
    record(device, &id, vec![pause], carry_out);
    device.restart_after(20 * MINUTE);
    assert_eq!(device.job(&id).done.len(), 8);
    assert_eq!(device.job(&id).status, Status::Paused(PauseReason::Break));
    assert!(device.session.borrow().gaps().is_empty(), "it was paused");
    record(device, &id, vec![EventKind::Resumed], carry_out);

    // The last step was marked too early.
    let last = device.job(&id).done.last().expect("eight are done").event;
    record(
        device,
        &id,
        vec![EventKind::Undone { event: last }],
        carry_out,
    );
    assert_eq!(device.job(&id).done.len(), 7);
    do_step(device, &id, carry_out);

    // The app is killed while work runs, and the technician says what that was.
    device.restart_after(10 * MINUTE);
    let gap = device.session.borrow().gaps()[&id];
    let answer = EventKind::Gap {
        from_ms: gap.from_ms,
        to_ms: gap.to_ms,
        work_ms: 4 * MINUTE,
    };
    record(device, &id, vec![answer], carry_out);
    assert!(device.session.borrow().gaps().is_empty());

    // One more task, because another part was found broken.
    let memory = named(&device.catalog, &replace("memory"));
    let entries = vec![
        EventKind::TaskAdded(memory.clone()),
        EventKind::FoundBroken(memory),
    ];
    record(device, &id, entries, carry_out);
    assert_eq!(device.job(&id).plans.len(), 2);

    // The first way out that there is another for does not come undone.
    loop {
        let job = device.job(&id);
        let way = blocked_operation(job.next().expect("a way out is ahead"));
        let found = way.filter(|way| {
            let entries = vec![EventKind::Blocked(way.clone())];
            let command = Command::record(id.as_str(), entries).expect("entries");
            let outcome = device.session.borrow().handle(command, device.now);
            let transaction = outcome.ok().and_then(session::Outcome::transaction);
            transaction.is_some_and(|it| it.unplanned().is_none())
        });
        if let Some(way) = found {
            record(device, &id, vec![EventKind::Blocked(way)], carry_out);
            break;
        }
        do_step(device, &id, carry_out);
    }
    let because = device
        .job(&id)
        .plans
        .last()
        .map(|plan| plan.because.clone());
    assert_eq!(because, Some(Reason::RouteBlocked));

    while device.job(&id).next().is_some() {
        do_step(device, &id, carry_out);
    }
    let closing = vec![
        EventKind::HandedOver {
            to: "P. Alder".to_owned(),
            note: String::new(),
        },
        EventKind::Closed {
            outcome: Outcome::Complete,
            note: String::new(),
        },
    ];
    record(device, &id, closing, carry_out);
    id
}

fn carry_out_once(device: &Device, command: Command) {
    let text = format!("{command:?}");
    match device.run(command) {
        Ok(Executed::Stored { .. }) => {}
        other => panic!("{text}: {other:?}"),
    }
}

/// The device after the whole job without a fault.
pub fn device_after_work() -> (Device, JobId) {
    let mut device = Device::new(sorrel());
    let id = work(&mut device, &mut carry_out_once);
    (device, id)
}

#[test]
fn a_whole_job_is_opened_interrupted_undone_replanned_and_closed() {
    let (mut device, id) = device_after_work();
    let job = device.job(&id);
    assert!(matches!(job.status, Status::Closed { .. }));
    let mut tasks = job.tasks.iter();
    assert!(tasks.all(|task| task.state == TaskProgress::Done));
    assert!(job.findings.is_empty(), "{:?}", job.findings);
    // What was stored says the same as what was shown.
    device.restart_after(MINUTE);
    assert_eq!(device.job(&id), job);
}

/// A whole job in an optimised build. Measured: about 50 ms.
const LIMIT: Duration = Duration::from_millis(100);
/// In an unoptimised one. Measured: about 0.3 s; it only finds what got out of
/// hand.
const UNOPTIMISED_LIMIT: Duration = Duration::from_secs(20);

#[test]
fn a_whole_job_takes_no_longer_than_a_blink() {
    // Other tests run beside it: the best of several is what the work takes.
    let took = || {
        let begun = Instant::now();
        device_after_work();
        begun.elapsed()
    };
    let (times, limit) = if cfg!(debug_assertions) {
        (1, UNOPTIMISED_LIMIT)
    } else {
        (5, LIMIT)
    };
    let best = (0..times).map(|_| took()).min().expect("it was timed");
    println!("a whole job took {best:?}");
    assert!(best < limit, "{best:?}");
}
