//! The state that the screens read, and the only way to change it.
//!
//! Signals hold what is shown; the [`Session`] holds the truth. [`App::act`] queues
//! what the technician did. Each command in turn is handled by the session and stored;
//! only then do the screens show it.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use lidoff_app_core::session::{
    Command, CommandError, CommandQueue, Executed, LoadedJob, Pushed, Queued, Replanned, Session,
    StorageError, execute, run_queue,
};
use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;
use lidoff_estimate::LearnedTimes;
use lidoff_i18n::tr;
use lidoff_job::fold::OpenGap;
use lidoff_job::{
    EventKind, Job, JobId, Log, NamedTask, Opened, PlanSnapshot, QuarantinedRecord, Stamp, Status,
};
use lidoff_planner::progress::Progress;

use super::service::event_store::EventStore;
use super::service::offline::OfflineState;
use super::service::quarantine::UnreadableRecord;
use super::service::scheduler::{TimeSlicer, Wish};
use super::service::tabs::Tabs;
use super::service::{clock, heartbeat};

pub use lidoff_app_core::session::{CatalogLibrary, RejectedCatalog};

/// What a screen does once its command is stored; it gets the job's id.
type Then = Box<dyn FnOnce(&JobId)>;

/// The state that the screens read. Created once at the root and never disposed of.
/// Whether the archived jobs are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Archive {
    /// Nothing has needed them.
    Unread,
    /// They are being read.
    Reading,
    /// They are read.
    Read,
}

#[derive(Clone, Copy)]
pub struct App {
    /// The unit catalogs; `None` until they are read.
    pub library: RwSignal<Option<CatalogLibrary>>,
    /// The catalogs that were added from a file.
    pub added: RwSignal<Vec<AddedCatalog>>,
    /// The jobs, the latest first; `None` until they are read. Archived ones are among them
    /// once they were [needed](Self::read_archive).
    pub jobs: RwSignal<Option<Vec<Arc<Log>>>>,
    /// Whether the archived jobs are among the jobs.
    pub archive: RwSignal<Archive>,
    /// The time, updated once a second while the page is visible.
    pub now: RwSignal<Stamp>,
    /// Learned times applied to the catalogs.
    pub times: RwSignal<Option<Arc<LearnedTimes>>>,
    /// Messages for the technician.
    pub notices: RwSignal<Vec<Notice>>,
    /// Whether this window is the writer.
    pub writes: RwSignal<bool>,
    /// Whether something is being planned or stored. A command that arrives meanwhile waits
    /// for its turn.
    pub busy: RwSignal<bool>,
    /// The progress of a plan that takes a while.
    pub planning: RwSignal<Option<Progress>>,
    /// How often the technician chose to use the best plan so far.
    pub enough: StoredValue<u32>,
    /// Spans in which the app was closed during a step, still to be asked about.
    pub gaps: RwSignal<BTreeMap<JobId, OpenGap>>,
    /// Quarantined records.
    pub unreadable: RwSignal<Vec<UnreadableRecord>>,
    /// Whether a new version waits to be installed.
    pub update: RwSignal<bool>,
    /// Whether the app is ready for offline use.
    pub offline: RwSignal<OfflineState>,
    /// Whether this device has an offline voice.
    pub voice: RwSignal<bool>,
    session: StoredValue<Rc<RefCell<Session>>, LocalStorage>,
    queue: StoredValue<Rc<RefCell<CommandQueue<Then>>>, LocalStorage>,
    event_store: StoredValue<Option<Rc<EventStore>>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
}

/// A catalog that was added from a file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct AddedCatalog {
    /// Name of the file.
    pub file: String,
    /// Name of its unit.
    pub name: Text,
    /// Its unit; `None` if it is faulty.
    pub unit: Option<String>,
}

/// A message for the technician.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// Its text.
    pub text: Text,
    /// Whether it is an error; otherwise it is information.
    pub bad: bool,
}

impl Default for App {
    fn default() -> Self {
        Self::new()
    }
}

impl App {
    /// An app that has loaded nothing yet.
    pub fn new() -> Self {
        Self {
            library: RwSignal::new(None),
            added: RwSignal::new(Vec::new()),
            jobs: RwSignal::new(None),
            archive: RwSignal::new(Archive::Unread),
            now: RwSignal::new(clock::now()),
            times: RwSignal::new(None),
            notices: RwSignal::new(Vec::new()),
            writes: RwSignal::new(true),
            busy: RwSignal::new(false),
            planning: RwSignal::new(None),
            enough: StoredValue::new(0),
            gaps: RwSignal::new(BTreeMap::new()),
            unreadable: RwSignal::new(Vec::new()),
            update: RwSignal::new(false),
            offline: RwSignal::new(OfflineState::default()),
            voice: RwSignal::new(false),
            session: StoredValue::new_local(Rc::default()),
            queue: StoredValue::new_local(Rc::default()),
            event_store: StoredValue::new_local(None),
            tabs: StoredValue::new_local(None),
        }
    }

    /// Sets the event store, once it is open.
    pub fn set_event_store(self, event_store: Rc<EventStore>) {
        self.event_store.set_value(Some(event_store));
    }

    /// The event store, once it is open.
    pub fn event_store(self) -> Option<Rc<EventStore>> {
        self.event_store.get_value()
    }

    /// Sets this window's handle among the tabs.
    pub fn join(self, tabs: Tabs) {
        self.tabs.set_value(Some(tabs));
    }

    /// Makes this window the writer.
    pub fn take_over(self) {
        self.tabs.with_value(|tabs| {
            if let Some(tabs) = tabs {
                tabs.take_over();
            }
        });
    }

    /// Shows a message to the technician.
    pub fn notify(self, bad: bool, text: impl Into<Text>) {
        let notice = Notice {
            text: text.into(),
            bad,
        };
        self.notices.update(|all| {
            if !all.contains(&notice) {
                all.push(notice);
            }
        });
    }

    /// The catalog of this unit, if it is there.
    pub fn catalog(self, unit: &str) -> Option<Arc<Catalog>> {
        self.library
            .with(|library| library.as_ref().and_then(|library| library.find(unit)))
    }

    /// The log of this job, if it is there.
    pub fn log(self, job: &str) -> Option<Arc<Log>> {
        self.jobs.track();
        let session = self.session.get_value();
        let session = session.borrow();
        session.find(job).map(|one| Arc::clone(&one.log))
    }

    /// The folded job, if it is on this device.
    pub fn job(self, job: &str) -> Option<Arc<Job>> {
        self.jobs.track();
        let session = self.session.get_value();
        let session = session.borrow();
        session.find(job).map(|one| Arc::clone(&one.job))
    }

    /// Opens a new job; `then` gets its id once it is stored.
    pub fn open(self, opened: Opened, then: impl FnOnce(String) + 'static) {
        self.submit(
            Command::Open(Box::new(opened)),
            Box::new(|id| then(id.as_str().to_owned())),
        );
    }

    /// Records events on a job, after all earlier commands. The events are stored, with a
    /// new plan if they require one; then the screens are updated, and `then` runs. If the
    /// events change nothing, nothing is stored, and `then` still runs.
    pub fn act(self, job: &str, kinds: Vec<EventKind>, then: impl FnOnce() + 'static) {
        match Command::record(job, kinds) {
            Ok(command) => self.submit(command, Box::new(|_| then())),
            Err(why) => self.notify(true, why.to_string()),
        }
    }

    /// The progress handler of a plan: the page gets its turns, the technician sees the
    /// progress once the plan takes a while, and can choose the best plan so far. A plan
    /// that is no longer `wanted` ends early.
    pub fn progress_handler(self, wanted: impl Fn() -> bool + 'static) -> TimeSlicer {
        let count_before = self.enough.get_value();
        let shown = Shown(self);
        TimeSlicer::new(move |progress| {
            // The whole of it is captured: a field alone would leave it here to be dropped.
            let Shown(app) = &shown;
            app.planning.set(progress.copied());
            if self.enough.get_value() == count_before && wanted() {
                Wish::On
            } else {
                Wish::Enough
            }
        })
    }

    /// The plan that there would be if this were recorded; nothing is stored.
    ///
    /// # Errors
    /// Why there would be none, in words.
    pub async fn would(
        self,
        job: &str,
        kinds: Vec<EventKind>,
        mut progress_handler: TimeSlicer,
    ) -> Result<PlanSnapshot, String> {
        let session = self.session.get_value();
        let planning = session
            .borrow()
            .preview(job, kinds, clock::now(), &mut progress_handler);
        planning.await.map_err(|why| why.to_string())
    }

    /// The open tasks that must be left so that the others have a plan, if this were recorded.
    ///
    /// # Errors
    /// Why there would be no plan even without tasks, in words.
    pub async fn would_leave(
        self,
        job: &str,
        kinds: Vec<EventKind>,
        mut progress_handler: TimeSlicer,
    ) -> Result<Vec<NamedTask>, String> {
        let session = self.session.get_value();
        let planning =
            session
                .borrow()
                .tasks_to_leave(job, kinds, clock::now(), &mut progress_handler);
        planning.await.map_err(|why| why.to_string())
    }

    /// Queues a command and runs the queue.
    fn submit(self, command: Command, then: Then) {
        let queue = self.queue.get_value();
        if queue.borrow_mut().push(command, clock::now(), then) == Pushed::Repeated {
            return;
        }
        self.busy.set(true);
        spawn_local(async move {
            run_queue(&queue, async |next| self.carry_out(next).await).await;
            if queue.borrow().is_idle() {
                self.busy.set(false);
            }
        });
    }

    async fn carry_out(self, next: Queued<Then>) {
        let Queued { command, at, given } = next;
        let job = match &command {
            Command::Open(_) => None,
            Command::Record { job, .. } => Some(job.clone()),
        };
        match self.execute(command, at).await {
            Ok(Executed::Stored {
                id,
                job,
                warning,
                quarantined,
                replanned,
                unplanned,
            }) => {
                if let Some(words) = replanned.as_ref().and_then(Replanned::describe) {
                    self.notify(false, words);
                }
                // The screen says so itself while the plan is stale.
                if let Some(why) = unplanned.filter(|_| !job.is_plan_stale()) {
                    let why = why.to_string();
                    self.notify(true, tr!("Recorded, but not planned: {why}", why));
                }
                if let Some(warning) = warning {
                    self.notify(true, warning);
                }
                self.notify_quarantined(quarantined);
                watch(&id, &job);
                self.publish();
                given(&id);
            }
            Ok(Executed::Unchanged(_)) => {
                if let Some(job) = job {
                    given(&job);
                }
            }
            Err(why) => {
                // After a clash the job was reloaded.
                if matches!(why, CommandError::NotStored(StorageError::Clash { .. })) {
                    self.publish();
                }
                self.notify(true, why.to_string());
            }
        }
    }

    async fn execute(self, command: Command, at: Stamp) -> Result<Executed, CommandError> {
        let Some(event_store) = self.event_store() else {
            return Err(CommandError::NotLoaded);
        };
        let session = self.session.get_value();
        let mut progress_handler = self.progress_handler(|| true);
        execute(&session, &*event_store, command, at, &mut progress_handler).await
    }

    /// Publishes the session's state to the screens.
    fn publish(self) {
        let session = self.session.get_value();
        let session = session.borrow();
        let gaps = session.gaps().clone();
        let logs = |jobs: &[LoadedJob]| jobs.iter().map(|one| Arc::clone(&one.log)).collect();
        let jobs = session.jobs().map(logs);
        // Dropped first, because subscribers of the signals may borrow the session.
        drop(session);
        if self.gaps.with_untracked(|shown| *shown != gaps) {
            self.gaps.set(gaps);
        }
        self.jobs.set(jobs);
    }

    /// Publishes a log to the screens.
    pub fn put(self, log: Log) {
        let id = log.job().clone();
        self.session
            .get_value()
            .borrow_mut()
            .replace(log, &clock::now());
        self.show(&id);
    }

    /// Removes a job from the screens.
    pub fn forget(self, job: &JobId) {
        self.session.get_value().borrow_mut().forget(job);
        self.publish();
    }

    /// The jobs for which something is to be recorded without a tap.
    pub fn due(self) -> Vec<JobId> {
        if self.writes.get_untracked() {
            self.session.get_value().borrow().due()
        } else {
            Vec::new()
        }
    }

    /// Records what is due without a tap.
    pub fn record_what_is_due(self) {
        for job in self.due() {
            self.act(job.as_str(), Vec::new(), || {});
        }
    }

    fn show(self, id: &JobId) {
        let session = self.session.get_value();
        if let Some(one) = session.borrow().find(id.as_str()) {
            watch(id, &one.job);
        }
        self.publish();
    }

    fn notify_quarantined(self, quarantined: Vec<QuarantinedRecord>) {
        for lost in quarantined {
            self.notify(true, format!("{} ({})", lost.why, lost.key));
        }
    }

    /// Publishes the stored jobs, and asks about those that ran while the app was closed.
    pub fn begin_with(self, logs: Vec<Log>) {
        let session = self.session.get_value();
        session
            .borrow_mut()
            .load(logs, heartbeat::before, &clock::now());
        self.archive.set(Archive::Unread);
        let loaded = session.borrow();
        for one in loaded.jobs().unwrap_or_default() {
            let id = one.log.job();
            // Until it is answered nothing is noted: whoever closes the app before
            // they answer is asked again.
            if !loaded.gaps().contains_key(id) {
                watch(id, &one.job);
            }
        }
        drop(loaded);
        self.publish();
    }

    /// Reads the archived jobs, unless that is done or under way.
    pub fn read_archive(self) {
        let Some(event_store) = self.event_store() else {
            return;
        };
        if self.archive.get_untracked() != Archive::Unread {
            return;
        }
        self.archive.set(Archive::Reading);
        spawn_local(async move {
            let (logs, troubles) = event_store.load_archive().await;
            for trouble in troubles {
                self.notify(true, trouble);
            }
            let session = self.session.get_value();
            session.borrow_mut().add(logs, &clock::now());
            self.publish();
            self.archive.set(Archive::Read);
        });
    }

    /// Sets whether this window is the writer.
    pub fn set_writes(self, writes: bool) {
        let session = self.session.get_value();
        session.borrow_mut().set_read_only(!writes);
        self.writes.set(writes);
    }

    /// Publishes the catalogs, with the learned times applied.
    pub fn set_library(self, catalogs: Vec<Catalog>, troubles: Vec<RejectedCatalog>) {
        let session = self.session.get_value();
        let library = {
            let mut session = session.borrow_mut();
            session.set_times(self.times.get_untracked());
            session.set_library(catalogs, troubles);
            session.library().clone()
        };
        self.library.set(Some(library));
    }
}

/// Clears the progress display when it is dropped.
struct Shown(App);

impl Drop for Shown {
    fn drop(&mut self) {
        if self.0.planning.with_untracked(Option::is_some) {
            self.0.planning.set(None);
        }
    }
}

/// Starts recording heartbeats of a running job.
fn watch(id: &JobId, job: &Job) {
    if job.status == Status::Running {
        heartbeat::start(id);
    } else {
        heartbeat::stop(id);
    }
}

/// The app, from the context that the root provides.
pub fn app() -> App {
    expect_context::<App>()
}
