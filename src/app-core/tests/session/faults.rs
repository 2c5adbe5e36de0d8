//! Storage that fails: a command is stored whole or not at all.

use std::sync::Arc;

use lidoff_app_core::session::{Command, CommandError, Executed, StorageError};
use lidoff_job::log::{json, record_key};
use lidoff_job::{EventKind, Job, JobId};
use lidoff_testkit::demo::sorrel;
use lidoff_testkit::visit::replace;

use super::device::{Device, named};
use super::memory::Fault;
use super::whole_job::{device_after_work, work};

/// Everything that a screen can see: the jobs and what is asked.
fn shown(device: &Device) -> (Vec<Arc<Job>>, usize) {
    let session = device.session.borrow();
    let jobs = session.jobs().expect("they are read");
    let jobs = jobs.iter().map(|one| Arc::clone(&one.job)).collect();
    (jobs, session.gaps().len())
}

fn is_same(one: &(Vec<Arc<Job>>, usize), other: &(Vec<Arc<Job>>, usize)) -> bool {
    one.1 == other.1
        && one.0.len() == other.0.len()
        && one.0.iter().zip(&other.0).all(|(a, b)| Arc::ptr_eq(a, b))
}

/// Makes a command fail at every write and at the commit, once each; then it goes
/// through. Tells how often it failed.
fn fail_everywhere(device: &Device, command: &Command) -> usize {
    let (stored, seen) = (device.stored(), shown(device));
    let mut failures = 0;
    let check = |fault| {
        device.sink.fail_once(fault);
        let failed = device.run(command.clone());
        if device.sink.is_armed() {
            // The batch has no such write: it went through.
            assert!(matches!(failed, Ok(Executed::Stored { .. })), "{failed:?}");
            return false;
        }
        let is_told = matches!(
            failed,
            Err(CommandError::NotStored(StorageError::Failed(_)))
        );
        assert!(is_told, "{failed:?}");
        assert_eq!(device.stored(), stored, "{fault:?} of {command:?}");
        assert!(is_same(&shown(device), &seen), "{fault:?} of {command:?}");
        true
    };
    assert!(check(Fault::Commit));
    while check(Fault::Write(failures)) {
        failures += 1;
    }
    failures + 1
}

#[test]
fn whichever_write_fails_nothing_of_its_command_is_stored_and_the_next_try_is_as_the_first() {
    let (untroubled, _) = device_after_work();
    let mut device = Device::new(sorrel());
    let mut failures = 0;
    work(&mut device, &mut |device, command| {
        failures += fail_everywhere(device, &command);
    });
    // Every event once, and every commit once.
    assert!(failures > untroubled.stored().len(), "{failures}");
    assert_eq!(device.stored(), untroubled.stored());
    println!("{failures} failures, {} events", device.stored().len());
}

fn adding_the_memory(device: &Device, id: &JobId) -> Result<Executed, CommandError> {
    let memory = named(&device.catalog, &replace("memory"));
    device.record(id, vec![EventKind::TaskAdded(memory)])
}

#[test]
fn a_task_whose_plan_is_not_stored_is_not_stored_either() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    device.sink.fail_once(Fault::Write(1));
    let failed = adding_the_memory(&device, &id);
    assert!(matches!(failed, Err(CommandError::NotStored(_))));
    let [log] = &device.sink.logs()[..] else {
        panic!("one job is stored");
    };
    assert_eq!(log.events().len(), 2);
    // The number of the event that failed is free for another command.
    let note = EventKind::Note {
        text: "lid off".to_owned(),
        step: None,
    };
    device.record(&id, vec![note]).expect("stored");
    let seqs: Vec<u32> = device.sink.logs()[0]
        .events()
        .iter()
        .map(|event| event.id.seq)
        .collect();
    assert_eq!(seqs, [0, 1, 2]);
}

#[test]
fn a_batch_that_was_stored_though_the_app_heard_otherwise_is_found_and_not_doubled() {
    let mut device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    device.sink.fail_once(Fault::Answer);
    let failed = adding_the_memory(&device, &id);
    assert!(matches!(failed, Err(CommandError::NotStored(_))));
    let stored = device.stored();
    assert_eq!(stored.len(), 4);

    // The second try, a moment later, finds that its place is taken, and reads.
    device.pass(3_000);
    let clash = adding_the_memory(&device, &id);
    let is_clash = matches!(
        clash,
        Err(CommandError::NotStored(StorageError::Clash { .. }))
    );
    assert!(is_clash, "{clash:?}");
    assert_eq!(device.job(&id).tasks.len(), 2);

    // Then there is nothing left to do.
    let again = adding_the_memory(&device, &id);
    assert!(matches!(again, Ok(Executed::Unchanged(_))), "{again:?}");
    assert_eq!(device.stored(), stored);
}

#[test]
fn the_same_batch_again_counts_as_stored() {
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    device.sink.fail_once(Fault::Answer);
    let failed = adding_the_memory(&device, &id);
    assert!(matches!(failed, Err(CommandError::NotStored(_))));
    // In the same moment the events are the same, word for word.
    let again = adding_the_memory(&device, &id);
    assert!(matches!(again, Ok(Executed::Stored { .. })), "{again:?}");
    assert_eq!(device.stored().len(), 4);
    assert_eq!(device.job(&id).tasks.len(), 2);
}

#[test]
fn an_event_written_behind_the_apps_back_is_never_overwritten() {
    let mut device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let foreign = {
        let session = device.session.borrow();
        let log = &session.find(id.as_str()).expect("open").log;
        let note = EventKind::Note {
            text: "from elsewhere".to_owned(),
            step: None,
        };
        log.draft(device.now, note)
    };
    let key = record_key(foreign.id);
    device.sink.put(&id, &key, &json(&foreign));
    let stored = device.stored();
    device.pass(1_000);

    let clash = adding_the_memory(&device, &id);
    assert_eq!(
        clash.err(),
        Some(CommandError::NotStored(StorageError::Clash { key }))
    );
    assert_eq!(device.stored(), stored, "nothing of the command is stored");
    assert_eq!(device.job(&id).notes.len(), 1, "the note is shown now");

    let again = adding_the_memory(&device, &id);
    assert!(matches!(again, Ok(Executed::Stored { .. })), "{again:?}");
    assert_eq!(device.job(&id).tasks.len(), 2);
    assert_eq!(device.job(&id).notes.len(), 1);
}

#[test]
fn of_two_transactions_for_one_place_the_second_is_refused_whole() {
    use lidoff_app_core::session::EventSink as _;
    use lidoff_planner::progress::block_on;
    let device = Device::new(sorrel());
    let id = device.open(&[replace("fan")]);
    let transaction = |text: &str| {
        let note = EventKind::Note {
            text: text.to_owned(),
            step: None,
        };
        let command = Command::record(id.as_str(), vec![note]).expect("entries");
        let outcome = device.session.borrow().handle(command, device.now);
        outcome.expect("handled").transaction().expect("to store")
    };
    let (first, second) = (transaction("first"), transaction("second"));
    block_on(device.sink.append(first.batch())).expect("stored");
    let refused = block_on(device.sink.append(second.batch()));
    assert!(matches!(refused, Err(StorageError::Clash { .. })));
    device.session.borrow_mut().commit(first);
    drop(second);
    let notes = &device.job(&id).notes;
    assert_eq!(notes.len(), 1);
    assert_eq!(notes[0].text, "first");
}
