//! The journal in IndexedDB.

use lidoff_job::log::{json, record_key};
use lidoff_web::service::clock;
use lidoff_web::service::journal::{self, JournalError};
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, fresh, job, note};

#[wasm_bindgen_test]
async fn what_was_written_is_read_in_the_order_of_job_and_event() {
    let _fresh = fresh().await;
    let journal = page::journal();
    for (id, seq) in [("b", 2), ("ab", 0), ("b", 10), ("a", 7), ("b", 1)] {
        let event = note(seq, id);
        journal
            .append(&job(id), &record_key(event.id), &json(&event))
            .await
            .expect("written");
    }
    let all = journal.load_all().await.expect("readable");
    let order: Vec<_> = all
        .iter()
        .map(|it| (it.job.as_str(), &it.key[..10]))
        .collect();
    assert_eq!(
        order,
        [
            ("a", "0000000007"),
            ("ab", "0000000000"),
            ("b", "0000000001"),
            ("b", "0000000002"),
            ("b", "0000000010"),
        ]
    );
    let of_a = journal.load(&job("a")).await.expect("readable");
    assert_eq!(of_a, &all[..1]);
    journal.forget(&job("a")).await.expect("forgotten");
    assert_eq!(journal.load_all().await.expect("readable"), &all[1..]);
}

#[wasm_bindgen_test]
async fn writes_that_nobody_waits_for_are_all_there() {
    let _fresh = fresh().await;
    let journal = page::journal();
    // There is a connection, so that each is begun in its own tap.
    assert!(journal.load_all().await.expect("readable").is_empty());
    for seq in 0..20 {
        let event = note(seq, "tap");
        drop(journal.append(&job("TM-0001"), &record_key(event.id), &json(&event)));
    }
    assert_eq!(journal.load_all().await.expect("readable").len(), 20);
}

#[wasm_bindgen_test]
async fn a_connection_that_was_closed_is_made_anew() {
    let _fresh = fresh().await;
    let journal = page::journal();
    journal
        .append(&job("TM-0001"), "0", "before")
        .await
        .expect("written");
    // Another page that removes the database has this one let go of it.
    page::delete_database().await;
    journal
        .append(&job("TM-0001"), "1", "after")
        .await
        .expect("written");
    let all = journal.load_all().await.expect("readable");
    let texts: Vec<_> = all.iter().map(|it| it.text.as_str()).collect();
    assert_eq!(texts, ["after"]);
}

#[wasm_bindgen_test]
async fn records_of_a_newer_version_are_left_alone() {
    let _fresh = fresh().await;
    let factory = page::window()
        .indexed_db()
        .expect("allowed")
        .expect("there");
    let newer = factory.open_with_u32(journal::NAME, 99).expect("asked");
    page::done(&newer).await;
    let database: web_sys::IdbDatabase = newer.result().expect("open").into();
    database.close();
    let error = page::journal().load_all().await.expect_err("it is newer");
    assert_eq!(error, JournalError::Newer);
}

#[wasm_bindgen_test]
async fn a_database_that_does_not_answer_is_not_waited_for() {
    let _fresh = fresh().await;
    let factory = page::window()
        .indexed_db()
        .expect("allowed")
        .expect("there");
    let older = factory.open_with_u32("lidoff-held", 1).expect("asked");
    page::done(&older).await;
    let held: web_sys::IdbDatabase = older.result().expect("open").into();
    // It does not listen for `versionchange`, so that a removal waits for it.
    let removal = factory.delete_database("lidoff-held").expect("asked");
    // An opening queues behind the removal, and nothing answers it.
    let journal = journal::Journal::new("lidoff-held");
    let error = journal.load_all().await.expect_err("nothing answers");
    assert_eq!(error, JournalError::Silent);
    // The next tap does not wait for it at all.
    let before = clock::now();
    let error = journal.load_all().await.expect_err("left alone");
    assert_eq!(error, JournalError::Silent);
    assert!(clock::now().mono_ms - before.mono_ms < 1_000);
    held.close();
    page::done(&removal).await;
}

#[wasm_bindgen_test]
async fn a_browser_without_a_database_is_an_error_and_no_crash() {
    let _fresh = fresh().await;
    let _bent = page::bend_reading(
        &page::window(),
        "indexedDB",
        "throw new DOMException('denied for this test', 'SecurityError')",
    );
    let error = page::journal().load_all().await.expect_err("there is none");
    assert!(matches!(error, JournalError::Denied(_)), "{error:?}");
}
