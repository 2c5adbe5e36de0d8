//! For hands that are busy: the screen stays on, steps are read aloud, Done is
//! taken once and can be pressed on a keyboard.

use std::cell::{Cell, RefCell};

use leptos::ev;
use leptos::prelude::*;
use leptos::task::spawn_local;

use super::service::preferences::{self, Switch};
use super::service::{awake, clock, scheduler, speech};
use super::state::App;
use lidoff_app_core::debounce;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::speech::spoken;
use lidoff_job::{Job, PlannedStep, Status};

thread_local! {
    static LAST_DONE_MS: Cell<Option<i64>> = const { Cell::new(None) };
    static LAST_READ: RefCell<Option<(String, u32)>> = const { RefCell::new(None) };
}

/// Looks after screen, voice and keyboard for as long as the page lives.
pub fn watch(app: App, route: RwSignal<Route>) {
    let working = Memo::new(move |_| match route.get() {
        Route::Job(id, Page::Step) => app
            .job(&id)
            .is_some_and(|job| job.status == Status::Running && job.next().is_some()),
        _ => false,
    });
    Effect::new(move |_| {
        let working = working.get();
        if !working {
            speech::stop();
            LAST_READ.take();
        }
        stay_awake(app, working);
    });
    // Many browsers know no voice when the page starts.
    let ask = move || app.voice.set(speech::can());
    spawn_local(async move {
        // The first to ask for voices waits for them to be looked for.
        scheduler::turn().await;
        ask();
        speech::when_voices_change(ask);
    });
    let pressed = window_event_listener(ev::keydown, |event| {
        let enter = event.key() == "Enter" && (event.ctrl_key() || event.meta_key());
        if enter && !event.repeat() {
            press_done();
        }
    });
    on_cleanup(move || pressed.remove());
}

/// Keeps the screen on, where that is wanted at all.
pub fn stay_awake(app: App, working: bool) {
    let wanted = preferences::is_on(Switch::StayAwake);
    awake::want(working && wanted, move |why| app.tell(false, why));
}

/// Presses Done, unless a question is open over it. A button that is shut takes
/// no press.
fn press_done() {
    let found = |css: &str| document().query_selector(css).ok().flatten();
    if found("dialog[open]").is_none()
        && let Some(done) = found("#done")
        && let Ok(done) = wasm_bindgen::JsCast::dyn_into::<web_sys::HtmlElement>(done)
    {
        done.click();
    }
}

/// Whether this tap on Done counts; a bounced one does not.
pub fn takes_done() -> bool {
    let now_ms = clock::now().mono_ms;
    let counts = debounce::counts(LAST_DONE_MS.get(), now_ms);
    if counts {
        LAST_DONE_MS.set(Some(now_ms));
    }
    counts
}

/// Reads the step in hand aloud, once, where every step is to be read.
pub fn read_each(id: &str, job: &Job, step: &PlannedStep) {
    if !preferences::is_on(Switch::ReadAloud) {
        return;
    }
    let here = Some((id.to_owned(), step.number));
    if LAST_READ.with_borrow(|last| *last != here) {
        LAST_READ.set(here);
        // The button says it when there is no voice.
        let _said = speech::say(&spoken(job, step), || {});
    }
}
