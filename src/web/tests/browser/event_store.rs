//! Two places, one truth.

use lidoff_app_core::session::Batch;
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, JobId, Log};
use lidoff_web::service::event_store::{EventStore, RecordError, Saved, Started, StoreWriteError};
use lidoff_web::service::journal::{self, Journal, JournalError};
use lidoff_web::service::quarantine::Place;
use lidoff_web::service::store::{self, StoreError};
use lidoff_web::service::tabs::Role;
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

#[wasm_bindgen_test]
async fn a_log_from_a_file_is_taken_in_and_a_finished_one_takes_no_local_storage() {
    let _fresh = fresh().await;
    let (event_store, _) = start().await;
    let mut log = Log::new(job("TM-0002"));
    log.append(opened()).expect("new");
    assert_eq!(event_store.take_in(&log).await, Ok(Saved::Safely));
    assert_eq!(store::load(log.job()).expect("readable").len(), 1);
    let mut finished = Log::new(job("TM-0003"));
    finished.append(opened()).expect("new");
    finished.append(closed(1)).expect("new");
    assert_eq!(event_store.take_in(&finished).await, Ok(Saved::Safely));
    assert!(store::load(finished.job()).expect("readable").is_empty());
    assert_eq!(start().await.1.logs, [log, finished]);
}

#[wasm_bindgen_test]
async fn a_job_that_is_removed_does_not_come_back() {
    let _fresh = fresh().await;
    let (event_store, job, events) = three().await;
    page::storage()
        .set_item(&name(&job, &events[1]), "rust")
        .expect("damaged");
    start().await;
    event_store.forget(&job).await.expect("removed");
    let (_, started) = start().await;
    assert!(started.logs.is_empty() && started.unreadable.is_empty());
    assert_eq!(page::storage().length().expect("readable"), 0);
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
