//! Taps that come while one is being carried out.

use std::cell::RefCell;
use std::pin::pin;
use std::task::{Context, Poll, Waker};

use lidoff_app_core::session::{
    Batch, Command, CommandError, CommandQueue, EventSink, Executed, Pushed, Queued, StorageError,
    Stored, Unchanged, execute, run_queue,
};
use lidoff_job::{EventKind, JobId, Log, PauseReason};
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_testkit::demo::sorrel;
use lidoff_testkit::visit::replace;

use super::device::{Device, meeting_demands, named, opening};
use super::memory::{Fault, MemorySink};

type Ended = Vec<(&'static str, Result<Executed, CommandError>)>;

fn note(text: &str) -> EventKind {
    EventKind::Note {
        text: text.to_owned(),
        step: None,
    }
}

fn command(id: &JobId, entry: EventKind) -> Command {
    Command::record(id.as_str(), vec![entry]).expect("an entry")
}

/// Works a queue through, as the shell does.
async fn work_through(
    device: &Device,
    sink: &impl EventSink,
    queue: &RefCell<CommandQueue<&'static str>>,
    ended: &RefCell<Ended>,
) {
    run_queue(queue, async |next: Queued<&'static str>| {
        let mut handler = RunToEnd;
        let end = execute(&device.session, sink, next.command, next.at, &mut handler).await;
        ended.borrow_mut().push((next.given, end));
    })
    .await;
}

fn push(
    device: &Device,
    queue: &RefCell<CommandQueue<&'static str>>,
    name: &'static str,
    command: Command,
) -> Pushed {
    queue.borrow_mut().push(command, device.now, name)
}

fn names(ended: &RefCell<Ended>) -> Vec<&'static str> {
    ended.borrow().iter().map(|(name, _)| *name).collect()
}

/// A sink that answers when it is polled the second time, as a browser's does.
struct Slow<'a>(&'a MemorySink);

impl EventSink for Slow<'_> {
    async fn append(&self, batch: &Batch) -> Result<Stored, StorageError> {
        let mut is_polled = false;
        std::future::poll_fn(|_| {
            if std::mem::replace(&mut is_polled, true) {
                Poll::Ready(())
            } else {
                Poll::Pending
            }
        })
        .await;
        self.0.append(batch).await
    }

    async fn load(&self, job: &JobId) -> Result<Log, StorageError> {
        self.0.load(job).await
    }
}

#[test]
fn a_tap_that_comes_while_another_is_being_stored_is_carried_out_after_it() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let (queue, ended) = (RefCell::default(), RefCell::default());
    let slow = Slow(&device.sink);
    let mut context = Context::from_waker(Waker::noop());

    push(&device, &queue, "first", command(&id, note("first")));
    let mut first = pin!(work_through(&device, &slow, &queue, &ended));
    assert!(first.as_mut().poll(&mut context).is_pending());
    assert!(!queue.borrow().is_idle(), "the first is being stored");

    // Each tap sees to the queue; this one finds it seen to.
    push(&device, &queue, "second", command(&id, note("second")));
    let mut second = pin!(work_through(&device, &slow, &queue, &ended));
    assert!(second.as_mut().poll(&mut context).is_ready());
    assert!(names(&ended).is_empty());

    block_on(first);
    assert_eq!(names(&ended), ["first", "second"]);
    assert!(queue.borrow().is_idle());
    let texts: Vec<String> = device
        .job(&id)
        .notes
        .iter()
        .map(|note| note.text.clone())
        .collect();
    assert_eq!(texts, ["first", "second"]);
    assert_eq!(device.stored().len(), 4);
}

#[test]
fn a_command_that_fails_takes_none_of_those_behind_it_along() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let (queue, ended) = (RefCell::default(), RefCell::default());
    let memory = named(&device.catalog, &replace("memory"));
    push(
        &device,
        &queue,
        "added",
        command(&id, EventKind::TaskAdded(memory)),
    );
    push(&device, &queue, "noted", command(&id, note("lid off")));
    device.sink.fail_once(Fault::Write(1));
    block_on(work_through(&device, &device.sink, &queue, &ended));
    let ended = ended.into_inner();
    assert!(matches!(ended[0].1, Err(CommandError::NotStored(_))));
    assert!(matches!(ended[1].1, Ok(Executed::Stored { .. })));
    assert_eq!(device.job(&id).tasks.len(), 1);
    assert_eq!(device.job(&id).notes.len(), 1);
    assert_eq!(device.job(&id).replan_due, None);
}

#[test]
fn done_twice_on_one_step_is_recorded_once_and_said_to_be() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let job = device.job(&id);
    let (_, entries) = meeting_demands(&device.catalog, &job, &device.now);
    for entry in entries {
        device.record(&id, vec![entry]).expect("recorded");
    }
    let step = job.next().expect("a step").number;
    let (queue, ended) = (RefCell::default(), RefCell::default());
    for name in ["first", "second"] {
        let done = command(&id, EventKind::Done { step });
        assert_eq!(push(&device, &queue, name, done), Pushed::Queued);
    }
    block_on(work_through(&device, &device.sink, &queue, &ended));
    let ended = ended.into_inner();
    assert!(matches!(ended[0].1, Ok(Executed::Stored { .. })));
    let unchanged = matches!(
        ended[1].1,
        Ok(Executed::Unchanged(Unchanged::AlreadyDone { step: done })) if done == step
    );
    assert!(unchanged, "{:?}", ended[1].1);
    let job = device.job(&id);
    assert_eq!(job.done.len(), 1);
    assert!(job.findings.is_empty(), "{:?}", job.findings);
}

#[test]
fn a_queued_done_does_not_count_once_the_work_is_paused() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let step = device.job(&id).next().expect("a step").number;
    let (queue, ended) = (RefCell::default(), RefCell::default());
    let pause = EventKind::Paused {
        reason: PauseReason::CalledAway,
        part: None,
        note: String::new(),
    };
    push(&device, &queue, "pause", command(&id, pause));
    push(
        &device,
        &queue,
        "done",
        command(&id, EventKind::Done { step }),
    );
    block_on(work_through(&device, &device.sink, &queue, &ended));
    let refused = ended.into_inner().pop().expect("two ended").1;
    assert_eq!(
        refused.err(),
        Some(CommandError::Paused(PauseReason::CalledAway))
    );
    assert!(device.job(&id).done.is_empty());
}

#[test]
fn start_tapped_twice_opens_one_job() {
    let device = Device::new(sorrel());
    let (queue, ended) = (RefCell::default(), RefCell::default());
    let open = || opening(&device.catalog, &[replace("fan")]);
    assert_eq!(push(&device, &queue, "first", open()), Pushed::Queued);
    assert_eq!(push(&device, &queue, "second", open()), Pushed::Repeated);
    block_on(work_through(&device, &device.sink, &queue, &ended));
    assert_eq!(device.sink.logs().len(), 1);
    // Once it is open, the same job can be opened again.
    assert_eq!(push(&device, &queue, "third", open()), Pushed::Queued);
    block_on(work_through(&device, &device.sink, &queue, &ended));
    assert_eq!(device.sink.logs().len(), 2);
}
