//! Heartbeats: when each running job was last seen alive, so that after a crash the app
//! can propose how long the gap was.
//!
//! One stamp every 15 s while the page is visible, and one when it is hidden or closed.
//! The stamps are in local storage, whose last writes are lost if the browser is
//! killed: the true time may be up to a minute later.

use std::cell::RefCell;
use std::collections::BTreeSet;

use wasm_bindgen::JsCast as _;
use wasm_bindgen::closure::Closure;

use super::store::StoreError;
use super::{browser, clock, store};
use lidoff_job::{JobId, Stamp};

/// Time from one heartbeat to the next, ms.
pub const BEAT_MS: i32 = 15_000;

const ALIVE: &str = "lidoff/alive/";

#[derive(Default)]
struct Heart {
    jobs: BTreeSet<JobId>,
    beating: bool,
}

thread_local! {
    static HEART: RefCell<Heart> = RefCell::default();
}

/// When the job was last seen alive in an earlier run, if that was recorded.
pub fn before(job: &JobId) -> Option<Stamp> {
    last_alive(job).filter(|stamp| stamp.run != clock::run())
}

/// Starts recording heartbeats of this job.
pub fn start(job: &JobId) {
    let first = HEART.with_borrow_mut(|heart| {
        heart.jobs.insert(job.clone());
        !std::mem::replace(&mut heart.beating, true)
    });
    if first {
        begin();
    }
    beat();
}

/// Stops recording heartbeats of this job: it is paused or closed.
pub fn stop(job: &JobId) {
    HEART.with_borrow_mut(|heart| heart.jobs.remove(job));
}

/// When the job was last seen alive.
pub fn last_alive(job: &JobId) -> Option<Stamp> {
    // Ignore a stamp that cannot be read; the log has its own stamps.
    let text = store::read(&name(job)).ok()??;
    lidoff_catalog::json::read(&text).ok()
}

/// Removes the heartbeats of a job.
///
/// # Errors
/// When there is no local storage.
pub fn forget(job: &JobId) -> Result<(), StoreError> {
    stop(job);
    store::remove(&name(job))
}

/// Records a heartbeat of all running jobs.
pub fn beat() {
    let now = clock::now();
    let Ok(text) = serde_json::to_string(&now) else {
        return;
    };
    HEART.with_borrow(|heart| {
        for job in &heart.jobs {
            // A full store is reported when an event is written.
            let _noted = store::write(&name(job), &text);
        }
    });
}

fn begin() {
    let Ok(window) = browser::window() else {
        return;
    };
    if let Ok(page) = browser::document() {
        browser::listen(&page, "visibilitychange", beat);
    }
    browser::listen(&window, "pagehide", beat);
    let seen = Closure::<dyn FnMut()>::new(|| {
        if !browser::hidden() {
            beat();
        }
    });
    let seen = seen.into_js_value();
    // Without a timer, heartbeats are still recorded when the page is hidden or closed.
    let _timer = window
        .set_interval_with_callback_and_timeout_and_arguments_0(seen.unchecked_ref(), BEAT_MS);
}

fn name(job: &JobId) -> String {
    format!("{ALIVE}{job}")
}
