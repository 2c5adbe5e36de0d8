//! Jobs in progress in local storage.

use lidoff_job::Log;
use lidoff_web::service::preferences::{self, Preference, Switch};
use lidoff_web::service::store::{self, StoreError};
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, fresh, job, note};

fn read(id: &str) -> Log {
    let records = store::load(&job(id)).expect("readable");
    let records = records.into_iter().map(|it| (it.key, it.text));
    let (log, bad) = Log::from_records(job(id), records);
    assert!(bad.is_empty(), "{bad:?}");
    log
}

#[wasm_bindgen_test]
async fn what_was_written_is_read_in_the_order_of_the_events() {
    let _fresh = fresh().await;
    let events: Vec<_> = [0, 1, 2, 9, 10, 11, 100]
        .into_iter()
        .map(|seq| note(seq, "lid off, “no” screw left\n"))
        .collect();
    for event in events.iter().rev() {
        store::append(&job("TM-0001"), event).expect("written");
    }
    assert_eq!(read("TM-0001").events(), events);
}

#[wasm_bindgen_test]
async fn a_job_that_is_forgotten_takes_no_other_with_it() {
    let _fresh = fresh().await;
    for id in ["TM-0001", "TM-00011", "TM-0001/2"] {
        store::append(&job(id), &note(0, id)).expect("written");
    }
    store::forget(&job("TM-0001")).expect("forgotten");
    let left: Vec<_> = store::load_all()
        .expect("readable")
        .into_iter()
        .map(|it| it.job.0)
        .collect();
    assert_eq!(left, ["TM-0001/2", "TM-00011"]);
}

#[wasm_bindgen_test]
async fn a_full_store_says_that_it_is_full() {
    let _fresh = fresh().await;
    fill();
    let error = store::append(&job("TM-0001"), &note(0, "one too many")).expect_err("it is full");
    assert_eq!(error, StoreError::Full);
    assert!(error.to_string().contains("remove them"), "{error}");
}

#[wasm_bindgen_test]
async fn a_store_that_is_denied_is_an_error_and_no_crash() {
    let _fresh = fresh().await;
    let bent = deny();
    let error = store::append(&job("TM-0001"), &note(0, "not kept")).expect_err("it is denied");
    assert!(matches!(error, StoreError::Denied(_)), "{error:?}");
    assert_eq!(preferences::get(Preference::Technician), None);
    drop(bent);
    store::append(&job("TM-0001"), &note(0, "kept")).expect("allowed again");
}

#[wasm_bindgen_test]
async fn a_preference_is_kept_until_it_is_emptied() {
    let _fresh = fresh().await;
    assert_eq!(preferences::get(Preference::Technician), None);
    preferences::set(Preference::Technician, "R. Marrow").expect("kept");
    let stored = preferences::get(Preference::Technician);
    assert_eq!(stored.as_deref(), Some("R. Marrow"));
    preferences::set(Preference::Technician, "").expect("emptied");
    assert_eq!(preferences::get(Preference::Technician), None);
}

#[wasm_bindgen_test]
async fn a_switch_is_as_at_first_until_it_is_turned_and_is_kept_as_it_always_was() {
    let _fresh = fresh().await;
    let stored = |name: &str| {
        let stored = page::storage().get_item(&format!("lidoff/preference/{name}"));
        stored.expect("readable")
    };
    for (switch, name, at_first, word) in [
        (Switch::StayAwake, "stay-awake", true, "no"),
        (Switch::ReadAloud, "speak", false, "yes"),
        (Switch::Beep, "mute", true, "yes"),
    ] {
        assert_eq!(preferences::is_on(switch), at_first, "{switch:?}");
        preferences::turn(switch, !at_first).expect("kept");
        assert_eq!(stored(name).as_deref(), Some(word), "{switch:?}");
        assert_eq!(preferences::is_on(switch), !at_first, "{switch:?}");
        preferences::turn(switch, at_first).expect("kept");
        assert_eq!(stored(name), None, "{switch:?}");
    }
    let _bent = deny();
    assert!(preferences::is_on(Switch::StayAwake));
    assert!(preferences::turn(Switch::StayAwake, false).is_err());
}

/// Fills local storage to the last unit.
pub fn fill() {
    let storage = page::storage();
    let mut size = 4 * 1024 * 1024;
    let mut nth = 0;
    while size > 0 {
        let put = storage.set_item(&format!("ballast/{nth}"), &"x".repeat(size));
        if put.is_ok() {
            nth += 1;
        } else {
            size /= 2;
        }
    }
}

/// Has the browser deny local storage, as it does where a page may store nothing.
pub fn deny() -> page::Bent {
    page::bend_reading(
        &page::window(),
        "localStorage",
        "throw new DOMException('denied for this test', 'SecurityError')",
    )
}
