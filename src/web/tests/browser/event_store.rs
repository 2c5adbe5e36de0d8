//! Two places, one truth.

use lidoff_app_core::session::Batch;
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, EventKind, JobId, Log, Outcome};
use lidoff_web::service::event_store::{
    EventStore, RecordError, Saved, Started, StoreWriteError, TakenIn,
};
use lidoff_web::service::journal::{self, Journal, JournalError};
use lidoff_web::service::photos::photos;
use lidoff_web::service::preferences::{self, Preference};
use lidoff_web::service::quarantine::Place;
use lidoff_web::service::store::{self, StoreError};
use lidoff_web::service::tabs::Role;
use lidoff_web::service::{catalogs, clock};
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, closed, fresh, job, note, opened};
use super::store::{deny, fill};

async fn start() -> (EventStore, Started) {
    let (event_store, started) = EventStore::start(Role::Writer).await;
    assert!(started.troubles.is_empty(), "{:?}", started.troubles);
    (event_store, started)
}

/// A job of three events, saved.
async fn three() -> (EventStore, JobId, Vec<Event>) {
    let (event_store, _) = start().await;
    let job = job("TM-0001");
    let events = vec![opened(), note(1, "lid off"), note(2, "lid on")];
    for event in &events {
        let saved = event_store.record(&job, event).await;
        assert_eq!(saved, Ok(Saved::Safely));
    }
    (event_store, job, events)
}

fn name(job: &JobId, event: &Event) -> String {
    format!("lidoff/job/{job}/{}", record_key(event.id))
}

fn in_store(job: &JobId, event: &Event) -> Option<String> {
    page::storage()
        .get_item(&name(job, event))
        .expect("readable")
}

async fn in_journal(event_store: &EventStore, job: &JobId) -> Vec<String> {
    let records = event_store.journal().load(job).await.expect("readable");
    records.into_iter().map(|it| it.text).collect()
}

fn texts(events: &[Event]) -> Vec<String> {
    events.iter().map(json).collect()
}

fn only(started: &Started) -> &Log {
    assert_eq!(started.logs.len(), 1);
    &started.logs[0]
}

#[wasm_bindgen_test]
async fn an_event_is_in_local_storage_before_the_tap_is_over() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let (job, event) = (job("TM-0001"), opened());
    let saving = event_store.record(&job, &event);
    assert_eq!(in_store(&job, &event), Some(json(&event)));
    assert_eq!(saving.await, Ok(Saved::Safely));
    assert_eq!(in_journal(&event_store, &job).await, [json(&event)]);
}

#[wasm_bindgen_test]
async fn what_was_saved_is_there_at_the_next_start() {
    let _fresh = fresh().await;
    let (_, job, events) = three().await;
    let (event_store, started) = start().await;
    assert_eq!(only(&started).job(), &job);
    assert_eq!(only(&started).events(), events);
    assert!(started.unreadable.is_empty());
    assert_eq!(
        event_store.load(&job).await.expect("readable"),
        started.logs[0]
    );
}

#[wasm_bindgen_test]
async fn local_storage_that_was_cleared_is_mended_from_the_journal() {
    let _fresh = fresh().await;
    let (_, job, events) = three().await;
    page::storage().clear().expect("cleared");
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    for event in &events {
        assert_eq!(in_store(&job, event), Some(json(event)));
    }
}

#[wasm_bindgen_test]
async fn a_journal_that_was_removed_is_mended_from_local_storage() {
    let _fresh = fresh().await;
    let (_, job, events) = three().await;
    page::delete_database().await;
    let (event_store, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(in_journal(&event_store, &job).await, texts(&events));
}

#[wasm_bindgen_test]
async fn events_that_each_place_has_alone_are_both_kept() {
    let _fresh = fresh().await;
    let (event_store, job, mut events) = three().await;
    page::storage()
        .remove_item(&name(&job, &events[1]))
        .expect("removed");
    let late = note(3, "lost by the crash");
    store::append(&job, &late).expect("written");
    events.push(late);
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(in_store(&job, &events[1]), Some(json(&events[1])));
    assert_eq!(in_journal(&event_store, &job).await, texts(&events));
}

#[wasm_bindgen_test]
async fn a_damaged_record_is_set_aside_and_restored_from_the_journal() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let damaged = "{\"id\":{\"seq\":1,";
    page::storage()
        .set_item(&name(&job, &events[1]), damaged)
        .expect("damaged");
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(in_store(&job, &events[1]), Some(json(&events[1])));
    let [unreadable] = &started.unreadable[..] else {
        panic!("one is aside: {:?}", started.unreadable);
    };
    let lies = Place::Store(format!("lidoff/aside/{}", name(&job, &events[1])));
    assert_eq!((&unreadable.place, &unreadable.job), (&lies, &job));
    assert_eq!(unreadable.note.text, damaged);
    assert!(
        unreadable.note.why.contains("EOF"),
        "{}",
        unreadable.note.why
    );
    assert!(unreadable.note.at_ms >= events[0].at.wall_ms);
    assert!(unreadable.restored);

    // It is there at every start, until the user removes it.
    let (_, again) = start().await;
    assert_eq!(again.unreadable, started.unreadable);
    event_store.remove(unreadable).await.expect("removed");
    let (_, after) = start().await;
    assert!(after.unreadable.is_empty());
    assert_eq!(only(&after).events(), events);
}

#[wasm_bindgen_test]
async fn two_damages_of_one_record_are_both_set_aside() {
    let _fresh = fresh().await;
    let (_, job, events) = three().await;
    for damaged in ["first", "second"] {
        page::storage()
            .set_item(&name(&job, &events[1]), damaged)
            .expect("damaged");
        start().await;
    }
    let (_, started) = start().await;
    let texts: Vec<_> = started
        .unreadable
        .iter()
        .map(|it| it.note.text.as_str())
        .collect();
    assert_eq!(texts, ["first", "second"]);
    assert!(started.unreadable.iter().all(|it| it.restored));
}

#[wasm_bindgen_test]
async fn a_damaged_record_of_the_journal_is_restored_from_local_storage() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let key = record_key(events[2].id);
    event_store
        .journal()
        .append(&job, &key, "rust")
        .await
        .expect("damaged");
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(in_journal(&event_store, &job).await, texts(&events));
    let [unreadable] = &started.unreadable[..] else {
        panic!("one is aside: {:?}", started.unreadable);
    };
    assert!(matches!(unreadable.place, Place::Journal(_)));
    assert_eq!(
        (unreadable.note.text.as_str(), unreadable.restored),
        ("rust", true)
    );
    event_store.remove(unreadable).await.expect("removed");
    assert!(start().await.1.unreadable.is_empty());
}

#[wasm_bindgen_test]
async fn a_record_that_is_damaged_in_both_places_harms_no_other() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let key = record_key(events[1].id);
    page::storage()
        .set_item(&name(&job, &events[1]), "rust")
        .expect("damaged");
    event_store
        .journal()
        .append(&job, &key, "more rust")
        .await
        .expect("damaged");
    let (_, started) = start().await;
    assert_eq!(
        only(&started).events(),
        [events[0].clone(), events[2].clone()]
    );
    assert_eq!(started.unreadable.len(), 2);
    assert!(started.unreadable.iter().all(|it| !it.restored));
}

#[wasm_bindgen_test]
async fn of_two_events_of_one_name_one_is_kept_and_the_other_set_aside() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let mut other = events[2].clone();
    other.at.wall_ms += 1;
    page::storage()
        .set_item(&name(&job, &other), &json(&other))
        .expect("written");
    let (_, started) = start().await;
    let stored = only(&started).events()[2].clone();
    let lost = if stored == other { &events[2] } else { &other };
    assert!(stored == other || stored == events[2]);
    assert_eq!(in_store(&job, &stored), Some(json(&stored)));
    assert_eq!(in_journal(&event_store, &job).await[2], json(&stored));
    let [unreadable] = &started.unreadable[..] else {
        panic!("one is aside: {:?}", started.unreadable);
    };
    assert_eq!(unreadable.note.text, json(lost));
    let (_, again) = start().await;
    assert_eq!(
        (again.logs, again.unreadable),
        (started.logs, started.unreadable)
    );
}

#[wasm_bindgen_test]
async fn what_an_older_version_could_not_read_is_taken_in_again() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let from = name(&job, &events[1]);
    let note = serde_json::to_string(&lidoff_web::service::quarantine::Note {
        text: json(&events[1]),
        why: "unknown variant".to_owned(),
        at_ms: 0,
    });
    let note = note.expect("JSON");
    page::storage()
        .set_item(&format!("lidoff/aside/{from}"), &note)
        .expect("set aside");
    page::storage().remove_item(&from).expect("removed");
    event_store.journal().forget(&job).await.expect("forgotten");
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert!(started.unreadable[0].restored);
    assert_eq!(in_journal(&event_store, &job).await, texts(&events));
}

#[wasm_bindgen_test]
async fn a_finished_job_leaves_local_storage_once_the_journal_was_found_to_hold_it() {
    let _fresh = fresh().await;
    let (event_store, job, mut events) = three().await;
    events.push(closed(3));
    // The crash came before the journal had the last one.
    store::append(&job, &events[3]).expect("written");
    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(in_store(&job, &events[0]), Some(json(&events[0])));
    assert_eq!(in_journal(&event_store, &job).await, texts(&events));

    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert!(store::load(&job).expect("readable").is_empty());

    let (_, started) = start().await;
    assert_eq!(only(&started).events(), events);
    assert!(store::load(&job).expect("readable").is_empty());
}

#[wasm_bindgen_test]
async fn a_finished_job_stays_in_local_storage_while_there_is_no_journal() {
    let _fresh = fresh().await;
    let (_, job, _) = three().await;
    store::append(&job, &closed(3)).expect("written");
    let bent = no_database();
    let (_, started) = EventStore::start(Role::Writer).await;
    drop(bent);
    assert_eq!(only(&started).events().len(), 4);
    assert_eq!(started.troubles.len(), 1, "{:?}", started.troubles);
    assert_eq!(store::load(&job).expect("readable").len(), 4);
}

#[wasm_bindgen_test]
async fn a_full_local_storage_is_told_and_the_journal_still_saves() {
    let _fresh = fresh().await;
    let (event_store, job, mut events) = three().await;
    fill();
    events.push(note(3, "no room"));
    let saved = event_store.record(&job, &events[3]).await;
    assert_eq!(saved, Ok(Saved::JournalOnly(StoreError::Full)));
    let banner = saved.ok().and_then(|it| it.banner());
    assert!(banner.is_some_and(|it| it.contains("full")));
    let (_, started) = EventStore::start(Role::Writer).await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(started.troubles, [StoreError::Full.to_string()]);
}

#[wasm_bindgen_test]
async fn a_denied_local_storage_is_told_and_the_journal_still_saves() {
    let _fresh = fresh().await;
    let bent = deny();
    let (event_store, started) = EventStore::start(Role::Writer).await;
    assert_eq!(started.troubles.len(), 1, "{:?}", started.troubles);
    let saved = event_store.record(&job("TM-0001"), &opened()).await;
    assert!(matches!(
        saved,
        Ok(Saved::JournalOnly(StoreError::Denied(_)))
    ));
    drop(bent);
    let (_, started) = start().await;
    assert_eq!(only(&started).events().len(), 1);
    assert_eq!(store::load_all().expect("readable").len(), 1);
}

#[wasm_bindgen_test]
async fn without_a_database_local_storage_still_saves() {
    let _fresh = fresh().await;
    let bent = no_database();
    let (event_store, _) = EventStore::start(Role::Writer).await;
    let saved = event_store.record(&job("TM-0001"), &opened()).await;
    assert!(matches!(
        saved,
        Ok(Saved::StoreOnly(JournalError::Denied(_)))
    ));
    drop(bent);
    // There is one again: this event goes to both, and the start mends the other.
    let saved = event_store
        .record(&job("TM-0001"), &note(1, "lid off"))
        .await;
    assert_eq!(saved, Ok(Saved::Safely));
    assert_eq!(in_journal(&event_store, &job("TM-0001")).await.len(), 1);
    start().await;
    assert_eq!(in_journal(&event_store, &job("TM-0001")).await.len(), 2);
}

#[wasm_bindgen_test]
async fn an_event_that_neither_place_takes_is_an_error() {
    let _fresh = fresh().await;
    let (store, database) = (deny(), no_database());
    let (event_store, started) = EventStore::start(Role::Writer).await;
    assert_eq!(started.troubles.len(), 2, "{:?}", started.troubles);
    let error = event_store.record(&job("TM-0001"), &opened()).await;
    drop((store, database));
    assert!(
        matches!(error, Err(RecordError::Neither { .. })),
        "{error:?}"
    );
}

/// The three events of one command.
fn batch() -> Batch {
    Batch {
        job: job("TM-0001"),
        events: vec![opened(), note(1, "lid off"), note(2, "lid on")],
    }
}

/// Every text, wherever it lies: local storage, then the journal.
async fn everywhere(event_store: &EventStore) -> (Vec<String>, Vec<String>) {
    let stored = store::load_all().expect("readable");
    let journal = event_store.journal().load_all().await.expect("readable");
    let texts = |records: Vec<store::Record>| records.into_iter().map(|it| it.text).collect();
    (texts(stored), texts(journal))
}

#[wasm_bindgen_test]
async fn the_events_of_a_command_are_one_transaction_that_waits_for_the_device() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let asked = js_sys::Array::new();
    let watched = page::watch_transactions(&asked);
    let batch = batch();
    assert_eq!(event_store.append(&batch).await, Ok(Saved::Safely));
    drop(watched);
    let asked: Vec<_> = asked.iter().filter_map(|it| it.as_string()).collect();
    assert_eq!(asked, ["readwrite strict"]);
    let texts = texts(&batch.events);
    assert_eq!(everywhere(&event_store).await, (texts.clone(), texts));
    assert_eq!(only(&start().await.1).events(), batch.events);
}

#[wasm_bindgen_test]
async fn the_same_events_again_change_nothing() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = batch();
    assert_eq!(event_store.append(&batch).await, Ok(Saved::Safely));
    let before = everywhere(&event_store).await;
    assert_eq!(event_store.append(&batch).await, Ok(Saved::Safely));
    assert_eq!(everywhere(&event_store).await, before);
}

#[wasm_bindgen_test]
async fn a_command_that_would_overwrite_an_event_of_the_journal_stores_nothing() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = batch();
    let key = record_key(batch.events[2].id);
    let written = event_store
        .journal()
        .append(&batch.job, &key, "another")
        .await;
    written.expect("written");
    let clash = event_store.append(&batch).await;
    assert_eq!(clash, Err(RecordError::Taken(key)));
    let another = vec!["another".to_owned()];
    assert_eq!(everywhere(&event_store).await, (Vec::new(), another));
}

#[wasm_bindgen_test]
async fn a_command_that_would_overwrite_an_event_of_local_storage_stores_nothing() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = batch();
    page::storage()
        .set_item(&name(&batch.job, &batch.events[1]), "another")
        .expect("written");
    let clash = event_store.append(&batch).await;
    let key = record_key(batch.events[1].id);
    assert_eq!(clash, Err(RecordError::Taken(key)));
    let another = vec!["another".to_owned()];
    assert_eq!(everywhere(&event_store).await, (another, Vec::new()));
}

/// Local storage with room for the first event, and for no second that is long.
fn fill_but_for_one() -> Batch {
    fill();
    page::storage()
        .set_item("ballast/0", &"x".repeat(4 * 1024 * 1024 - 4096))
        .expect("less than before");
    let mut batch = batch();
    batch.events[1] = note(1, &"long ".repeat(4_000));
    batch
}

#[wasm_bindgen_test]
async fn local_storage_that_takes_a_part_of_a_command_keeps_none_of_it() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = fill_but_for_one();
    let saved = event_store.append(&batch).await;
    assert_eq!(saved, Ok(Saved::JournalOnly(StoreError::Full)));
    let texts = texts(&batch.events);
    assert_eq!(everywhere(&event_store).await, (Vec::new(), texts));
}

#[wasm_bindgen_test]
async fn a_command_that_neither_place_takes_leaves_its_numbers_free() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = fill_but_for_one();
    event_store.journal().close();
    let bent = no_database();
    let refused = event_store.append(&batch).await;
    drop(bent);
    assert!(
        matches!(refused, Err(RecordError::Neither { .. })),
        "{refused:?}"
    );
    assert_eq!(everywhere(&event_store).await, (Vec::new(), Vec::new()));
    // Other events get their numbers.
    page::storage().clear().expect("cleared");
    let other = Batch {
        events: vec![opened(), note(1, "not long")],
        ..batch
    };
    assert_eq!(event_store.append(&other).await, Ok(Saved::Safely));
    let texts = texts(&other.events);
    assert_eq!(everywhere(&event_store).await, (texts.clone(), texts));
}

#[wasm_bindgen_test]
async fn whichever_event_the_journal_refuses_it_keeps_none_of_the_command() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let batch = batch();
    for nth in 0..batch.events.len() as u32 {
        let bent = page::fail_add(nth, "QuotaExceededError");
        let denied = deny();
        let refused = event_store.append(&batch).await;
        drop((bent, denied));
        assert!(
            matches!(
                refused,
                Err(RecordError::Neither {
                    journal: JournalError::Full,
                    ..
                })
            ),
            "{nth}: {refused:?}"
        );
        let nothing = (Vec::new(), Vec::new());
        assert_eq!(everywhere(&event_store).await, nothing, "{nth}");
    }
    // With local storage at hand the command is saved there, whole.
    let bent = page::fail_add(1, "QuotaExceededError");
    let saved = event_store.append(&batch).await;
    drop(bent);
    assert_eq!(saved, Ok(Saved::StoreOnly(JournalError::Full)));
    let texts = texts(&batch.events);
    assert_eq!(everywhere(&event_store).await, (texts, Vec::new()));
}

#[wasm_bindgen_test]
async fn what_a_slow_journal_was_said_not_to_have_it_does_not_write_later() {
    let _fresh = fresh().await;
    let journal = Journal::with_timeout(journal::NAME, 500);
    let (event_store, _) = EventStore::start_in(journal, Role::Writer).await;
    let busy = page::keep_database_busy().await;
    let denied = deny();
    let refused = event_store.append(&batch()).await;
    drop(denied);
    assert!(
        matches!(
            refused,
            Err(RecordError::Neither {
                journal: JournalError::Silent,
                ..
            })
        ),
        "{refused:?}"
    );
    busy.end().await;
    assert_eq!(everywhere(&event_store).await, (Vec::new(), Vec::new()));
}

#[wasm_bindgen_test]
async fn a_tab_that_reads_writes_nothing() {
    let _fresh = fresh().await;
    let (_, job, events) = three().await;
    page::storage()
        .remove_item(&name(&job, &events[1]))
        .expect("removed");
    page::storage()
        .set_item(&name(&job, &events[2]), "rust")
        .expect("damaged");
    let before = store::load_all().expect("readable");
    let (reader, started) = EventStore::start(Role::Reader).await;
    assert_eq!(only(&started).events(), events);
    assert_eq!(started.unreadable.len(), 1);
    assert_eq!(started.unreadable[0].place, Place::InPlace);
    let refused = reader.record(&job, &note(3, "no")).await;
    assert_eq!(refused, Err(RecordError::Reading));
    assert_eq!(reader.forget(&job).await, Err(StoreWriteError::Reading));
    assert_eq!(store::load_all().expect("readable"), before);
    assert_eq!(in_journal(&reader, &job).await, texts(&events));
}

async fn take_in(event_store: &EventStore, log: &Log) -> Result<TakenIn, RecordError> {
    event_store.take_in(log.clone(), Vec::new()).await
}

fn log_of(job: &JobId, events: &[Event]) -> Log {
    let mut log = Log::new(job.clone());
    for event in events {
        log.append(event.clone()).expect("new");
    }
    log
}

#[wasm_bindgen_test]
async fn a_log_from_a_file_is_taken_in_and_a_finished_one_takes_no_local_storage() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let log = log_of(&job("TM-0002"), &[opened()]);
    let taken = take_in(&event_store, &log).await.expect("taken in");
    assert_eq!(
        (taken.saved, taken.new, taken.log),
        (Saved::Safely, 1, log.clone())
    );
    assert_eq!(store::load(log.job()).expect("readable").len(), 1);
    let finished = log_of(&job("TM-0003"), &[opened(), closed(1)]);
    let taken = take_in(&event_store, &finished).await.expect("taken in");
    assert_eq!(taken.saved, Saved::Safely);
    assert!(store::load(finished.job()).expect("readable").is_empty());
    assert_eq!(start().await.1.logs, [log, finished]);
}

#[wasm_bindgen_test]
async fn a_file_never_overwrites_what_this_device_recorded() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    // Another device wrote other things under the same names: some sort before ours.
    for (nth, text) in ["a first", "z last"].into_iter().enumerate() {
        let mut theirs = events.clone();
        theirs[1].kind = note(1, text).kind;
        theirs.push(note(3 + nth as u32, text));
        let clash = json(&theirs[1]);
        let log = log_of(&job, &[&theirs[..3], &theirs[3..]].concat());
        let taken = take_in(&event_store, &log).await.expect("taken in");
        assert_eq!((taken.new, taken.set_aside.len()), (1, 1), "{text}");
        assert_eq!(taken.set_aside[0].note.text, clash);
        assert_eq!(in_store(&job, &events[1]), Some(json(&events[1])), "{text}");
        assert_eq!(in_journal(&event_store, &job).await[1], json(&events[1]));
        assert_eq!(taken.log.events()[1], events[1]);
    }
    let (_, started) = start().await;
    assert_eq!(only(&started).events().len(), 5);
    assert_eq!(only(&started).events()[..3], events);
    assert_eq!(started.unreadable.len(), 2);
    // The same file again adds nothing.
    let log = only(&started).clone();
    let taken = take_in(&event_store, &log).await.expect("taken in");
    assert_eq!((taken.new, taken.set_aside.len()), (0, 0));
}

#[wasm_bindgen_test]
async fn of_a_file_that_the_journal_does_not_take_nothing_is_kept() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let log = log_of(&job("TM-0002"), &[opened(), note(1, "lid off")]);
    let bent = page::fail_add(1, "QuotaExceededError");
    let refused = take_in(&event_store, &log).await;
    drop(bent);
    assert!(
        matches!(refused, Err(RecordError::NothingAdded(_))),
        "{refused:?}"
    );
    assert_eq!(everywhere(&event_store).await, (Vec::new(), Vec::new()));
}

#[wasm_bindgen_test]
async fn a_job_that_is_removed_does_not_come_back() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    page::storage()
        .set_item(&name(&job, &events[1]), "rust")
        .expect("damaged");
    start().await;
    photos().keep(&job, "photo-1", "data:").await.expect("kept");
    let troubles = event_store.forget(&job).await.expect("removed");
    assert!(troubles.is_empty(), "{troubles:?}");
    assert!(photos().of_job(&job).await.expect("readable").is_empty());
    assert_eq!(page::storage().length().expect("readable"), 0);
    // A browser that was killed brings back what local storage held before.
    for event in &events {
        store::append(&job, event).expect("written");
    }
    page::storage()
        .set_item("lidoff/alive/TM-0001", "{}")
        .expect("written");
    photos().keep(&job, "photo-1", "data:").await.expect("kept");
    let (reader, started) = EventStore::start(Role::Reader).await;
    assert!(started.logs.is_empty(), "a tab that reads knows it, too");
    assert_eq!(reader.forget(&job).await, Err(StoreWriteError::Reading));
    let (_, started) = start().await;
    assert!(started.logs.is_empty() && started.unreadable.is_empty());
    assert_eq!(page::storage().length().expect("readable"), 0);
    assert!(photos().of_job(&job).await.expect("readable").is_empty());

    // From a file it comes back, for good.
    let log = log_of(&job, &events);
    take_in(&event_store, &log).await.expect("taken in");
    assert_eq!(only(&start().await.1), &log);
    assert_eq!(only(&start().await.1), &log);
}

#[wasm_bindgen_test]
async fn a_job_that_the_journal_does_not_let_go_of_stays_whole() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    let bent = page::fail_method("delete", 1, "QuotaExceededError");
    let refused = event_store.forget(&job).await;
    drop(bent);
    assert!(
        matches!(refused, Err(StoreWriteError::Journal(JournalError::Full))),
        "{refused:?}"
    );
    assert_eq!(store::load(&job).expect("readable").len(), 3);
    assert_eq!(only(&start().await.1).events(), events);
}

#[wasm_bindgen_test]
async fn everything_that_is_removed_stays_removed() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    catalogs::add(
        event_store.journal(),
        "mine.json",
        lidoff_testkit::demo::CATALOGS[0].1,
    )
    .await
    .expect("added");
    preferences::set(Preference::Technician, "R. Marrow").expect("kept");
    page::storage()
        .set_item("of-somebody-else", "stays")
        .expect("written");
    photos().keep(&job, "photo-1", "data:").await.expect("kept");
    // The app is killed in the middle: local storage is as it was.
    let bent = deny();
    let troubles = event_store.forget_everything(vec![job.clone()]).await;
    drop(bent);
    assert!(!troubles.expect("the journal is empty").is_empty());
    let (event_store, started) = start().await;
    assert!(started.logs.is_empty() && started.unreadable.is_empty());
    assert_eq!(page::storage().length().expect("readable"), 1);
    assert!(photos().all().await.expect("readable").is_empty());
    let texts = catalogs::texts(event_store.journal()).await;
    assert!(texts.expect("readable").is_empty());
    // What is stored afterwards stays, and the job that was removed does not come back.
    preferences::set(Preference::Technician, "P. Alder").expect("kept");
    store::append(&job, &events[0]).expect("written");
    let (_, started) = start().await;
    assert!(started.logs.is_empty());
    let name = preferences::get(Preference::Technician);
    assert_eq!(name.as_deref(), Some("P. Alder"));
}

#[wasm_bindgen_test]
async fn a_journal_of_the_version_before_is_read_and_takes_removals() {
    let _fresh = fresh().await;
    let event = opened();
    page::make_first_journal(&job("TM-0001"), &record_key(event.id), &json(&event)).await;
    let (event_store, started) = start().await;
    assert_eq!(only(&started).events(), [event]);
    event_store.forget(&job("TM-0001")).await.expect("removed");
    assert!(start().await.1.logs.is_empty());
}

/// Twelve finished jobs of three events and two that later visits need, which were finished before the last start.
async fn twelve_finished() -> (EventStore, Vec<JobId>, Vec<JobId>) {
    let (event_store, _) = start().await;
    // Older, but one is left open, and one ended what was left open.
    let another_visit = EventKind::Closed {
        outcome: Outcome::AnotherVisit,
        note: String::new(),
    };
    let left_open = page::event(1, another_visit);
    let mut follows = opened();
    if let EventKind::Opened(opened) = &mut follows.kind {
        opened.follows = Some(job("TM-01"));
    }
    for (id, events) in [
        ("TM-01", vec![opened(), left_open]),
        ("TM-02", vec![follows, closed(1)]),
    ] {
        let job = job(id);
        event_store
            .append(&Batch { job, events })
            .await
            .expect("saved");
    }
    let jobs: Vec<JobId> = (10..22).map(|nth| job(&format!("TM-{nth}"))).collect();
    for one in &jobs {
        let events = vec![opened(), note(1, "lid\toff\nand on"), closed(2)];
        let job = one.clone();
        event_store
            .append(&Batch { job, events })
            .await
            .expect("saved");
        // The latest is the one that was finished last.
        page::pass(2).await;
    }
    let (_, started) = start().await;
    assert!(
        started.to_archive.is_empty(),
        "they are still in local storage"
    );
    let (event_store, started) = start().await;
    assert_eq!(started.logs.len(), 14);
    assert_eq!(started.to_archive, jobs[..2]);
    (event_store, jobs, started.to_archive)
}

#[wasm_bindgen_test]
async fn old_finished_jobs_are_archived_and_stay_whole() {
    let _fresh = fresh().await;
    let (event_store, jobs, to_archive) = twelve_finished().await;
    let before = in_journal(&event_store, &jobs[0]).await;
    assert_eq!(before.len(), 3);
    event_store.archive(to_archive).await.expect("archived");
    assert_eq!(everywhere(&event_store).await.1.len(), 10 * 3 + 4);
    assert_eq!(in_journal(&event_store, &jobs[0]).await, before);

    let (event_store, started) = start().await;
    assert_eq!(started.logs.len(), 12);
    assert!(started.to_archive.is_empty());
    let (logs, troubles) = event_store.load_archive().await;
    assert!(troubles.is_empty(), "{troubles:?}");
    let archived: Vec<_> = logs.iter().map(Log::job).collect();
    assert_eq!(archived, [&jobs[0], &jobs[1]]);
    assert_eq!(logs[0].records().map(|it| it.1).collect::<Vec<_>>(), before);

    // A file that has it adds nothing; what comes later joins it.
    let same = take_in(&event_store, &logs[0]).await.expect("taken in");
    assert_eq!((same.new, same.log), (0, logs[0].clone()));
    let late = event_store
        .record(&jobs[0], &note(3, "old part sent in"))
        .await;
    assert_eq!(late, Ok(Saved::Safely));
    let (event_store, started) = start().await;
    let whole = started.logs.iter().find(|log| *log.job() == jobs[0]);
    assert_eq!(whole.map(|log| log.events().len()), Some(4));

    event_store.forget(&jobs[0]).await.expect("removed");
    let (logs, _) = event_store.load_archive().await;
    assert_eq!(logs.len(), 1, "a job that is removed is not in the archive");
}

#[wasm_bindgen_test]
async fn a_job_that_could_be_archived_in_part_only_is_whole() {
    let _fresh = fresh().await;
    let (event_store, jobs, to_archive) = twelve_finished().await;
    let before = in_journal(&event_store, &jobs[0]).await;
    let failures = [("put", 0), ("get", 1), ("delete", 0), ("delete", 2)];
    for (method, nth) in failures {
        let bent = page::fail_method(method, nth, "QuotaExceededError");
        let refused = event_store.archive(to_archive.clone()).await;
        drop(bent);
        assert_eq!(refused, Err(JournalError::Full), "{method} {nth}");
        assert_eq!(in_journal(&event_store, &jobs[0]).await, before);
        assert_eq!(everywhere(&event_store).await.1.len(), 12 * 3 + 4);
        let (_, started) = start().await;
        assert_eq!((started.logs.len(), &started.to_archive), (14, &to_archive));
    }
}

#[wasm_bindgen_test]
async fn a_damaged_archive_harms_one_job_and_is_reported() {
    let _fresh = fresh().await;
    let (event_store, jobs, to_archive) = twelve_finished().await;
    event_store.archive(to_archive).await.expect("archived");
    page::damage_archive(&jobs[0]).await;
    let (event_store, started) = start().await;
    assert_eq!(started.logs.len(), 12);
    let (logs, troubles) = event_store.load_archive().await;
    assert_eq!(logs.len(), 1);
    assert!(
        troubles.len() == 1 && troubles[0].contains(jobs[0].as_str()),
        "{troubles:?}"
    );
}

#[wasm_bindgen_test]
async fn only_the_first_tap_waits_for_a_database_that_hangs_and_it_gets_all_later() {
    let _fresh = fresh().await;
    let journal = Journal::with_timeout(journal::NAME, 500);
    let (event_store, _) = EventStore::start_in(journal, Role::Writer).await;
    let busy = page::keep_database_busy().await;
    let job = job("TM-0001");
    let events = [opened(), note(1, "lid off"), note(2, "lid on")];
    let mut took_ms = Vec::new();
    for event in &events {
        let begun = clock::now().mono_ms;
        let saved = event_store.record(&job, event).await;
        took_ms.push(clock::now().mono_ms - begun);
        assert_eq!(saved, Ok(Saved::StoreOnly(JournalError::Silent)));
    }
    assert!(took_ms[0] >= 490, "{took_ms:?}");
    assert!(took_ms[1] < 250 && took_ms[2] < 250, "{took_ms:?}");
    assert_eq!(store::load(&job).expect("readable").len(), 3);
    busy.end().await;
    // Both the question whether it answers and the next try come by themselves.
    let mut held = Vec::new();
    for _ in 0..60 {
        held = event_store.journal().load(&job).await.unwrap_or_default();
        if held.len() == 3 {
            break;
        }
        page::pass(200).await;
    }
    let held: Vec<_> = held.into_iter().map(|it| it.text).collect();
    assert_eq!(held, texts(&events));
    let saved = event_store.record(&job, &note(3, "screwed down")).await;
    assert_eq!(saved, Ok(Saved::Safely));
}

#[wasm_bindgen_test]
async fn the_browser_says_whether_it_keeps_the_records() {
    let _fresh = fresh().await;
    let persistence = start().await.0.persist().await;
    assert!(persistence.promised.is_some());
    assert!(persistence.quota.is_some_and(|it| it > 0.0));
}

fn no_database() -> page::Bent {
    page::bend_reading(
        &page::window(),
        "indexedDB",
        "throw new DOMException('denied for this test', 'SecurityError')",
    )
}
