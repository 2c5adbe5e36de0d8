//! Hands-free help: keeps the screen on during work, and reads steps aloud.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::service::preferences::{self, Switch};
use super::service::{awake, scheduler, speech};
use super::slice::Slice;
use super::state::App;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::speech::spoken_text;
use lidoff_job::{Job, PlannedStep, Status};

/// Watches screen and voice for as long as the page lives.
pub fn watch(app: App, route: RwSignal<Route>) {
    let working = Slice::new(move || match route.get() {
        Route::Job(id, Page::Step) => app
            .job(&id)
            .is_some_and(|job| job.status == Status::Running && job.next().is_some()),
        _ => false,
    });
    Effect::new(move |_| {
        let working = working.get();
        if !working {
            speech::stop();
        }
        stay_awake(app, working);
    });
    // In many browsers the list of voices is empty when the page starts.
    let ask = move || app.voice.set(speech::can());
    spawn_local(async move {
        // The first request for voices makes the browser load them.
        scheduler::turn().await;
        ask();
        speech::when_voices_change(ask);
    });
}

/// Keeps the screen on, if the user wants that.
pub fn stay_awake(app: App, working: bool) {
    let wanted = preferences::is_on(Switch::StayAwake);
    awake::want(working && wanted, move |why| app.notify(false, why));
}

/// Reads each step aloud once, if the user wants that.
#[derive(Clone, Copy)]
pub struct StepReader {
    /// The last step read, with its action.
    last: StoredValue<Option<(u32, String)>>,
}

impl StepReader {
    /// Nothing was read yet.
    pub fn new() -> Self {
        Self {
            last: StoredValue::new(None),
        }
    }

    /// Reads this step aloud, unless it was the last one read: a new plan may lead to
    /// the same step.
    pub fn read(self, job: &Job, step: &PlannedStep) {
        if !preferences::is_on(Switch::ReadAloud) {
            return;
        }
        let this = Some((step.number, step.action.clone()));
        if self.last.get_value() != this {
            self.last.set_value(this);
            // The button reports a missing voice.
            let _spoken = speech::say(&spoken_text(job, step), || {});
        }
    }

    /// Work has stopped: the step is read again when it resumes.
    pub fn forget(self) {
        self.last.set_value(None);
    }
}
