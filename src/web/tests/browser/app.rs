//! The app without its screens: taps in, signals and records out.

use std::cell::RefCell;
use std::rc::Rc;

use leptos::mount::mount_to_body;
use leptos::prelude::*;
use lidoff_app_core::planning::unit;
use lidoff_app_core::session::CommandError;
use lidoff_catalog::setup::Configuration;
use lidoff_job::{EventKind, NamedTask, Opened, Status, TaskRef};
use lidoff_testkit::demo::sorrel;
use lidoff_web::service::event_store::EventStore;
use lidoff_web::service::tabs::Role;
use lidoff_web::state::App;
use wasm_bindgen_test::wasm_bindgen_test;

use super::page::{self, fresh};
use super::store::deny;

/// An app that has read its jobs and its catalogs, and an opened job on it.
struct Running {
    app: App,
    id: String,
    _owner: Owner,
}

fn opened() -> Opened {
    let catalog = sorrel();
    let fan = TaskRef::Replace("fan".into());
    let fan = fan.find(&catalog).expect("the unit has a fan");
    Opened {
        unit: unit(&catalog),
        reference: "TM-0001".to_owned(),
        site: String::new(),
        technician: String::new(),
        setup: Configuration::usual(&catalog),
        tasks: vec![NamedTask::new(&catalog, fan)],
        leave_by_ms: None,
        follows: None,
    }
}

async fn idle(app: App) {
    page::until("the app is idle", || !app.busy.get_untracked()).await;
}

async fn running() -> Running {
    // What is mounted first begins the executor.
    mount_to_body(|| ());
    let owner = Owner::new();
    let app = owner.with(App::new);
    let (event_store, started) = EventStore::start(Role::Writer).await;
    app.set_event_store(Rc::new(event_store));
    app.set_writes(true);
    app.begin_with(started.logs);
    app.set_library(vec![sorrel()], Vec::new());
    let opened_as = Rc::new(RefCell::new(Vec::new()));
    // Start, tapped twice.
    for _ in 0..2 {
        let opened_as = Rc::clone(&opened_as);
        app.open(opened(), move |id| opened_as.borrow_mut().push(id));
    }
    idle(app).await;
    assert_eq!(app.notices.get_untracked(), []);
    let [id] = &opened_as.borrow()[..] else {
        panic!("one job is opened: {:?}", opened_as.borrow());
    };
    Running {
        app,
        id: id.clone(),
        _owner: owner,
    }
}

fn note(text: &str) -> Vec<EventKind> {
    let text = text.to_owned();
    vec![EventKind::Note { text, step: None }]
}

impl Running {
    fn notes(&self) -> Vec<String> {
        let job = self.app.job(&self.id).expect("it is open");
        job.notes.iter().map(|note| note.text.clone()).collect()
    }
}

#[wasm_bindgen_test]
async fn a_tap_while_another_is_being_stored_is_not_lost() {
    let _fresh = fresh().await;
    let running = running().await;
    let (app, id) = (running.app, &running.id);
    let order = Rc::new(RefCell::new(Vec::new()));
    for text in ["first", "second", "third"] {
        let order = Rc::clone(&order);
        app.act(id, note(text), move || order.borrow_mut().push(text));
        assert!(app.busy.get_untracked());
    }
    assert!(order.borrow().is_empty(), "nothing is stored yet");
    idle(app).await;
    assert_eq!(*order.borrow(), ["first", "second", "third"]);
    assert_eq!(running.notes(), ["first", "second", "third"]);
    let (_, started) = EventStore::start(Role::Writer).await;
    let stored = started.logs.iter().find(|log| log.job().as_str() == id);
    assert_eq!(stored, app.log(id).as_deref());
    assert_eq!(app.notices.get_untracked(), []);
}

#[wasm_bindgen_test]
async fn what_is_not_stored_is_told_and_not_shown_and_the_next_tap_is_stored() {
    let _fresh = fresh().await;
    let running = running().await;
    let (app, id) = (running.app, &running.id);
    let before = app.log(id);
    let bent = (deny(), page::fail_add(1, "QuotaExceededError"));
    let memory = TaskRef::Replace("memory".into());
    let memory = memory
        .find(&sorrel())
        .map(|it| NamedTask::new(&sorrel(), it));
    let memory = vec![EventKind::TaskAdded(memory.expect("it has memory"))];
    app.act(id, memory, || panic!("it was not stored"));
    idle(app).await;
    drop(bent);
    let notices = app.notices.get_untracked();
    assert!(notices.len() == 1 && notices[0].bad, "{notices:?}");
    assert_eq!(app.log(id), before);

    app.act(id, note("lid off"), || {});
    idle(app).await;
    assert_eq!(running.notes(), ["lid off"]);
    let job = app.job(id).expect("it is open");
    assert_eq!((job.tasks.len(), &job.status), (1, &Status::Running));
    let (_, started) = EventStore::start(Role::Writer).await;
    assert_eq!(Some(&started.logs[0]), app.log(id).as_deref());
}

#[wasm_bindgen_test]
async fn a_window_that_only_reads_says_so() {
    let _fresh = fresh().await;
    let running = running().await;
    let (app, id) = (running.app, &running.id);
    app.set_writes(false);
    app.act(id, note("no"), || panic!("it was not stored"));
    idle(app).await;
    let notices = app.notices.get_untracked();
    let texts: Vec<_> = notices.iter().map(|notice| notice.text.clone()).collect();
    assert_eq!(texts, [CommandError::ReadOnly.to_string()]);
    assert!(running.notes().is_empty());
}
