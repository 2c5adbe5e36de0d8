//! What the screens read, and the one way to change it.
//!
//! Signals hold what is shown; a log holds what is true. [`App::act`] turns what
//! the technician did into events, has them stored, and only then lets the
//! screens see them.

use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use lidoff_i18n::tr;

use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;
use lidoff_job::fold::OpenGap;
use lidoff_job::{Event, EventKind, Job, JobId, Log, PlanSnapshot, Reason, Stamp, Status, fold};

use lidoff_estimate::LearnedTimes;
use lidoff_planner::progress::Progress;

use super::service::event_store::EventStore;
use super::service::quarantine::Aside;
use super::service::scheduler::{TimeSlicer, Wish};
use super::service::tabs::Tabs;
use super::service::{clock, heartbeat};
use lidoff_app_core::planning;

/// What the screens read. Made once, at the root, and never disposed of.
#[derive(Clone, Copy)]
pub struct App {
    /// The unit catalogs; `None` until they are read.
    pub shelf: RwSignal<Option<CatalogLibrary>>,
    /// The jobs, the latest first; `None` until they are read.
    pub jobs: RwSignal<Option<Vec<Arc<Log>>>>,
    /// The time, once a second while the page is seen.
    pub now: RwSignal<Stamp>,
    /// Learned times that are laid over the catalogs.
    pub times: RwSignal<Option<Arc<LearnedTimes>>>,
    /// What the technician must be told.
    pub notices: RwSignal<Vec<Notice>>,
    /// Whether this window is the one that writes.
    pub writes: RwSignal<bool>,
    /// Something is being planned or stored.
    pub busy: RwSignal<bool>,
    /// How far a plan is that takes a while.
    pub planning: RwSignal<Option<Progress>>,
    /// The plan that there is now is enough: how often that was said.
    pub enough: StoredValue<u32>,
    /// Spans in which the app was closed in mid-step, still to be asked about.
    pub gaps: RwSignal<BTreeMap<String, OpenGap>>,
    /// Records that could not be read, kept aside.
    pub aside: RwSignal<Vec<Aside>>,
    /// Another version waits to be taken.
    pub update: RwSignal<bool>,
    /// Whether the app is kept for use without a network: "yes", "no", or why not.
    pub offline: RwSignal<String>,
    /// Whether this device has a voice of its own to read with.
    pub voice: RwSignal<bool>,
    /// The log that was folded last, and its fold: a tap asks for it in several
    /// places.
    folded: StoredValue<Option<(Arc<Log>, Arc<Job>)>>,
    keeper: StoredValue<Option<Rc<EventStore>>, LocalStorage>,
    tabs: StoredValue<Option<Tabs>, LocalStorage>,
}

/// The unit catalogs.
#[derive(Clone, Default)]
pub struct CatalogLibrary {
    /// Those that can be used.
    pub units: Vec<Arc<Catalog>>,
    /// Those that cannot, and why.
    pub troubles: Vec<RejectedCatalog>,
}

/// A catalog that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RejectedCatalog {
    /// Name of its file.
    pub name: Text,
    /// What is wrong with it.
    pub lines: Vec<Text>,
}

impl CatalogLibrary {
    /// The catalog of this unit.
    pub fn find(&self, unit: &str) -> Option<Arc<Catalog>> {
        self.units
            .iter()
            .find(|catalog| catalog.unit().id == unit)
            .cloned()
    }
}

/// Something that the technician must be told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Notice {
    /// The words.
    pub text: Text,
    /// It went wrong; else it is only worth knowing.
    pub bad: bool,
}

impl App {
    /// An app that has read nothing yet.
    pub fn new() -> Self {
        Self {
            shelf: RwSignal::new(None),
            jobs: RwSignal::new(None),
            now: RwSignal::new(clock::now()),
            times: RwSignal::new(None),
            notices: RwSignal::new(Vec::new()),
            writes: RwSignal::new(true),
            busy: RwSignal::new(false),
            planning: RwSignal::new(None),
            enough: StoredValue::new(0),
            gaps: RwSignal::new(BTreeMap::new()),
            aside: RwSignal::new(Vec::new()),
            update: RwSignal::new(false),
            offline: RwSignal::new("no".to_owned()),
            voice: RwSignal::new(false),
            folded: StoredValue::new(None),
            keeper: StoredValue::new_local(None),
            tabs: StoredValue::new_local(None),
        }
    }

    /// Hands the app its store, once it is open.
    pub fn keep_with(self, keeper: Rc<EventStore>) {
        self.keeper.set_value(Some(keeper));
    }

    /// The store, once it is open.
    pub fn keeper(self) -> Option<Rc<EventStore>> {
        self.keeper.get_value()
    }

    /// Hands the app its place among the windows.
    pub fn join(self, tabs: Tabs) {
        self.tabs.set_value(Some(tabs));
    }

    /// Makes this window the one that writes.
    pub fn take_over(self) {
        self.tabs.with_value(|tabs| {
            if let Some(tabs) = tabs {
                tabs.take_over();
            }
        });
    }

    /// Tells the technician something.
    pub fn tell(self, bad: bool, text: impl Into<Text>) {
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
        self.shelf
            .with(|shelf| shelf.as_ref().and_then(|shelf| shelf.find(unit)))
    }

    /// The log of this job, if it is there.
    pub fn log(self, job: &str) -> Option<Arc<Log>> {
        self.jobs.with(|jobs| {
            jobs.as_ref()?
                .iter()
                .find(|log| log.job().as_str() == job)
                .cloned()
        })
    }

    /// What the log of this job says, if it is there.
    pub fn job(self, job: &str) -> Option<Arc<Job>> {
        self.log(job).map(|log| self.fold(&log))
    }

    fn fold(self, log: &Arc<Log>) -> Arc<Job> {
        let known = self.folded.with_value(|known| match known {
            Some((of, job)) if Arc::ptr_eq(of, log) => Some(Arc::clone(job)),
            _ => None,
        });
        known.unwrap_or_else(|| {
            let job = Arc::new(fold(log));
            self.folded
                .set_value(Some((Arc::clone(log), Arc::clone(&job))));
            job
        })
    }

    /// Opens a new job with these events; `then` gets its id once it is stored.
    pub fn open(self, kinds: Vec<EventKind>, then: impl FnOnce(String) + 'static) {
        let log = Log::new(JobId::new(&clock::now()));
        let id = log.job().as_str().to_owned();
        self.store(log, kinds, move || then(id));
    }

    /// Does something on a job: the events are stored, and a new plan with them
    /// where they call for one; then the screens see it, and `then` runs.
    pub fn act(self, job: &str, kinds: Vec<EventKind>, then: impl FnOnce() + 'static) {
        match self.log(job) {
            Some(log) => self.store((*log).clone(), kinds, then),
            None => self.tell(true, tr!("This job is not on this device.")),
        }
    }

    /// A plan's patience: the page gets its turns, the technician sees how far it
    /// is once it takes a while, and can say that what there is is enough. What is
    /// not `wanted` any more ends early.
    pub fn patience(self, wanted: impl Fn() -> bool + 'static) -> TimeSlicer {
        let said = self.enough.get_value();
        let shown = Shown(self);
        TimeSlicer::new(move |progress| {
            shown.0.planning.set(progress.copied());
            if self.enough.get_value() == said && wanted() {
                Wish::On
            } else {
                Wish::Enough
            }
        })
    }

    /// Does something on a job as soon as nothing else is being stored: for what
    /// was not asked for by a tap that can be made again.
    pub fn act_soon(self, job: String, kinds: Vec<EventKind>) {
        if !self.busy.get_untracked() {
            return self.act(&job, kinds, || {});
        }
        let again = move || self.act_soon(job, kinds);
        set_timeout(again, std::time::Duration::from_millis(50));
    }

    /// What the plan would be, were this done on a job; nothing is stored.
    ///
    /// # Errors
    /// Why there would be none, in words.
    pub async fn would(
        self,
        job: &str,
        kinds: Vec<EventKind>,
        patience: TimeSlicer,
    ) -> Result<PlanSnapshot, String> {
        let log = self.log(job);
        let mut log = (*log.ok_or_else(|| tr!("This job is not on this device."))?).clone();
        let events = self.events(&mut log, kinds, patience).await?;
        let mut events = events.into_iter().rev();
        let plan = events.find_map(|event| match event.kind {
            EventKind::Planned { plan, .. } => Some(plan),
            _ => None,
        });
        plan.or_else(|| fold(&log).plan)
            .ok_or_else(|| tr!("This job has no plan."))
    }

    fn store(self, mut log: Log, kinds: Vec<EventKind>, then: impl FnOnce() + 'static) {
        if self.busy.get_untracked() {
            return;
        }
        if !self.writes.get_untracked() {
            self.tell(
                true,
                tr!("Another window of Lidoff has this device's jobs. Work there, or close it."),
            );
            return;
        }
        let Some(keeper) = self.keeper() else {
            return self.tell(
                true,
                tr!("The store is not open yet. Try again in a moment."),
            );
        };
        self.busy.set(true);
        spawn_local(async move {
            let stored = match self.events(&mut log, kinds, self.patience(|| true)).await {
                Ok(events) => keep_all(self, &keeper, &log, &events).await,
                Err(why) => Err(why),
            };
            self.busy.set(false);
            if let Err(why) = stored {
                return self.tell(true, why);
            }
            self.put(log);
            then();
        });
    }

    /// What was done as events appended to the log, with a new plan where they
    /// call for one.
    async fn events(
        self,
        log: &mut Log,
        kinds: Vec<EventKind>,
        mut patience: TimeSlicer,
    ) -> Result<Vec<Event>, String> {
        let at = clock::now();
        let mut events = Vec::new();
        let mut append = |log: &mut Log, what| {
            let event = log.draft(at, what);
            log.append(event.clone())
                .map_err(|error| error.to_string())?;
            events.push(event);
            Ok::<(), String>(())
        };
        for what in kinds {
            append(log, what)?;
        }
        let job = fold(log);
        let first = job.plan.is_none().then_some(Reason::First);
        if let Some(reason) = first.or_else(|| job.replan_due.clone()) {
            let unit = job
                .opened
                .as_ref()
                .map(|opened| opened.unit.id.clone())
                .unwrap_or_default();
            let catalog = self.catalog(&unit).ok_or_else(|| {
                tr!("The catalog of this unit ({unit}) is not on this device, so there can be no new plan.", unit)
            })?;
            let plan = planning::replan(&job, &catalog, &at, &mut patience).await?;
            append(
                log,
                EventKind::Planned {
                    plan,
                    because: reason,
                },
            )?;
        }
        Ok(events)
    }

    /// Lets the screens see a log.
    pub fn put(self, log: Log) {
        let log = Arc::new(log);
        watch(&log, &self.fold(&log));
        self.jobs.update(|jobs| {
            let jobs = jobs.get_or_insert_default();
            jobs.retain(|known| known.job() != log.job());
            jobs.push(log);
            sort(jobs);
        });
    }

    /// Lets the screens see what a file has of a log, besides what is known.
    pub fn merge(self, log: Log) {
        let mut known = self
            .log(log.job().as_str())
            .map_or_else(|| Log::new(log.job().clone()), |known| (*known).clone());
        for lost in known.merge(log) {
            self.tell(true, format!("{} ({})", lost.why, lost.key));
        }
        self.put(known);
    }

    /// Lets the screens see the jobs that were kept, and asks about those that
    /// ran while the app was closed.
    pub fn begin_with(self, logs: Vec<Log>) {
        let now = clock::now();
        let mut gaps = BTreeMap::new();
        for log in &logs {
            let job = fold(log);
            let before = heartbeat::before(log.job());
            match job.gap_to_ask(before.as_ref(), &now) {
                // Until that is answered nothing is noted: whoever closes the app
                // before they answer is asked again.
                Some(gap) => {
                    gaps.insert(log.job().as_str().to_owned(), gap);
                }
                None => watch(log, &job),
            }
        }
        let mut jobs: Vec<Arc<Log>> = logs.into_iter().map(Arc::new).collect();
        sort(&mut jobs);
        self.gaps.set(gaps);
        self.jobs.set(Some(jobs));
    }
}

/// What is shown of a plan that takes a while is gone with it.
struct Shown(App);

impl Drop for Shown {
    fn drop(&mut self) {
        if self.0.planning.with_untracked(Option::is_some) {
            self.0.planning.set(None);
        }
    }
}

/// Notes from now on that a running job is alive.
fn watch(log: &Log, job: &Job) {
    if job.status == Status::Running {
        heartbeat::start(log.job());
    } else {
        heartbeat::stop(log.job());
    }
}

/// The latest first.
pub fn sort(jobs: &mut [Arc<Log>]) {
    let latest = |log: &Arc<Log>| log.head().map_or(0, |head| head.at.wall_ms);
    lidoff_catalog::insertion_sort(jobs, |one, next| latest(one) < latest(next));
}

async fn keep_all(
    app: App,
    keeper: &EventStore,
    log: &Log,
    events: &[Event],
) -> Result<(), String> {
    for event in events {
        let saved = keeper
            .record(log.job(), event)
            .await
            .map_err(|error| error.to_string())?;
        if let Some(trouble) = saved.banner() {
            app.tell(true, trouble);
        }
    }
    Ok(())
}

/// The app, from the context that the root provides.
pub fn app() -> App {
    expect_context::<App>()
}

/// A job's fold, kept up to date; `None` where there is no such job.
pub fn job_memo(app: App, id: String) -> Memo<Option<Arc<Job>>> {
    Memo::new(move |_| app.job(&id))
}
