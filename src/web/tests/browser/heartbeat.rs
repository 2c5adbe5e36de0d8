//! When a job was last seen alive.

use lidoff_job::{RunId, Stamp};
use lidoff_web::service::{clock, heartbeat};
use wasm_bindgen_test::wasm_bindgen_test;

use super::clock::{hide, show};
use super::page::{self, fresh, job};

#[wasm_bindgen_test]
async fn a_running_job_is_alive_when_the_page_is_hidden_and_a_stopped_one_is_not() {
    let _fresh = fresh().await;
    let (running, stopped) = (job("running"), job("stopped"));
    assert_eq!(heartbeat::last_alive(&running), None);
    heartbeat::start(&running);
    assert_eq!(heartbeat::before(&running), None);
    heartbeat::start(&stopped);
    let first = heartbeat::last_alive(&running).expect("noted at once");
    assert_eq!(first.run, clock::run());
    let stopped_at = heartbeat::last_alive(&stopped).expect("noted at once");
    heartbeat::stop(&stopped);
    page::pass(20).await;
    show(hide());
    let later = heartbeat::last_alive(&running).expect("noted");
    assert!(later.mono_ms >= first.mono_ms + 15, "{first:?} {later:?}");
    assert_eq!(heartbeat::last_alive(&stopped), Some(stopped_at));
    heartbeat::forget(&running).expect("forgotten");
    assert_eq!(heartbeat::last_alive(&running), None);
}

#[wasm_bindgen_test]
async fn what_a_run_before_this_one_noted_is_there_until_this_one_notes_something() {
    let _fresh = fresh().await;
    let crashed = job("crashed");
    let before = Stamp {
        wall_ms: clock::now().wall_ms - 600_000,
        run: RunId(clock::run().0 ^ 1),
        ..clock::now()
    };
    let text = serde_json::to_string(&before).expect("JSON");
    page::storage()
        .set_item("lidoff/alive/crashed", &text)
        .expect("written");
    assert_eq!(heartbeat::before(&crashed), Some(before));
    assert_eq!(heartbeat::before(&crashed), Some(before));
    heartbeat::start(&crashed);
    assert_eq!(heartbeat::before(&crashed), None);
    heartbeat::stop(&crashed);
}

#[wasm_bindgen_test]
async fn a_heartbeat_that_cannot_be_read_proposes_nothing() {
    let _fresh = fresh().await;
    page::storage()
        .set_item("lidoff/alive/odd", "{\"wall_ms\":")
        .expect("written");
    assert_eq!(heartbeat::last_alive(&job("odd")), None);
}
