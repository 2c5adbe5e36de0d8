//! The only owner of this device's jobs, and the only way to change them.

use std::collections::BTreeMap;
use std::sync::Arc;

use lidoff_catalog::insertion_sort;
use lidoff_catalog::model::Catalog;
use lidoff_estimate::LearnedTimes;
use lidoff_job::fold::OpenGap;
use lidoff_job::{
    EventKind, Job, JobId, Log, NamedTask, Opened, PlanSnapshot, QuarantinedRecord, Reason,
    Restart, Stamp, Status, fold,
};
use lidoff_planner::progress::{ProgressHandler, RunToEnd, block_on};

use super::check::{Verdict, check};
use super::command::{Command, CommandError, Entries, Unchanged};
use super::library::{CatalogLibrary, RejectedCatalog};
use super::transaction::{Committed, Draft, IfRefused, Outcome, PlanDue, Transaction};
use crate::what_now;

/// A job on this device.
#[derive(Clone, Debug)]
pub struct LoadedJob {
    /// The log.
    pub log: Arc<Log>,
    /// The fold of the log.
    pub job: Arc<Job>,
}

impl LoadedJob {
    /// A job that this run of the app takes up now. `last_alive` is its last heartbeat.
    fn take_up(log: Log, last_alive: Option<Stamp>, now: &Stamp) -> Self {
        let mut job = fold(&log);
        let is_closed = matches!(job.status, Status::Closed { .. });
        let head = job.head.map(|(_, head)| head.run);
        if let Some(run) = head.filter(|run| *run != now.run && !is_closed) {
            job.restart = Some(Restart {
                alive: last_alive.filter(|alive| alive.run == run),
                since: *now,
            });
        }
        Self {
            job: Arc::new(job),
            log: Arc::new(log),
        }
    }
}

/// The state behind the screens.
#[derive(Default)]
pub struct Session {
    library: CatalogLibrary,
    times: Option<Arc<LearnedTimes>>,
    /// The jobs, the latest first; `None` until they are loaded.
    jobs: Option<Vec<LoadedJob>>,
    gaps: BTreeMap<JobId, OpenGap>,
    read_only: bool,
}

impl Session {
    /// An empty session.
    pub fn new() -> Self {
        Self::default()
    }

    /// Replaces the known jobs by the stored ones. `last_alive` returns when a job was last
    /// seen alive in an earlier run: the session asks about a job that ran while the app
    /// was closed.
    pub fn load(
        &mut self,
        logs: Vec<Log>,
        last_alive: impl Fn(&JobId) -> Option<Stamp>,
        now: &Stamp,
    ) {
        // Not collected: that would add a sorting algorithm to the app.
        self.gaps.clear();
        let mut jobs = Vec::new();
        for log in logs {
            let alive = last_alive(log.job());
            let one = LoadedJob::take_up(log, alive, now);
            if let Some(gap) = one.job.gap_to_ask(alive.as_ref(), now) {
                self.gaps.insert(one.log.job().clone(), gap);
            }
            jobs.push(one);
        }
        self.jobs = Some(jobs);
        self.sort();
    }

    /// Adds jobs that it does not have yet.
    pub fn add(&mut self, logs: Vec<Log>, now: &Stamp) {
        for log in logs {
            if self.find(log.job().as_str()).is_none()
                && let Some(jobs) = &mut self.jobs
            {
                jobs.push(LoadedJob::take_up(log, None, now));
            }
        }
        self.sort();
    }

    /// Replaces the catalogs, with the learned times applied.
    pub fn set_library(&mut self, catalogs: Vec<Catalog>, troubles: Vec<RejectedCatalog>) {
        let times = self.times.clone();
        let laid_over = |mut catalog: Catalog| {
            if let Some(times) = &times {
                times.apply_to(&mut catalog);
            }
            Arc::new(catalog)
        };
        self.library = CatalogLibrary {
            units: catalogs.into_iter().map(laid_over).collect(),
            troubles,
        };
    }

    /// Uses these learned times for catalogs that are [set](Self::set_library) from now on.
    pub fn set_times(&mut self, times: Option<Arc<LearnedTimes>>) {
        self.times = times;
    }

    /// Sets whether commands are refused.
    pub const fn set_read_only(&mut self, read_only: bool) {
        self.read_only = read_only;
    }

    /// The catalogs in use.
    pub const fn library(&self) -> &CatalogLibrary {
        &self.library
    }

    /// The jobs, the latest first; `None` until they are read.
    pub fn jobs(&self) -> Option<&[LoadedJob]> {
        self.jobs.as_deref()
    }

    /// The job with this id.
    pub fn find(&self, job: &str) -> Option<&LoadedJob> {
        let mut jobs = self.jobs.iter().flatten();
        jobs.find(|one| one.log.job().as_str() == job)
    }

    /// Spans in which the app was closed during a step, still to be asked about.
    pub const fn gaps(&self) -> &BTreeMap<JobId, OpenGap> {
        &self.gaps
    }

    /// The outcome of a command. The session does not change until the transaction is
    /// [committed](Self::commit). `at` is the time of the tap.
    ///
    /// # Errors
    /// Why the command is refused.
    ///
    /// # Example
    /// ```
    /// use lidoff_app_core::planning::unit;
    /// use lidoff_app_core::session::{Command, Outcome, Session, Unchanged};
    /// use lidoff_catalog::setup::Configuration;
    /// use lidoff_job::{EventKind, NamedTask, Opened, PauseReason, Stamp, TaskRef};
    ///
    /// let catalog = lidoff_testkit::demo::sorrel();
    /// let fan = TaskRef::Replace("fan".into());
    /// let opened = Opened {
    ///     unit: unit(&catalog),
    ///     reference: "TM-0001".into(),
    ///     site: String::new(),
    ///     technician: String::new(),
    ///     setup: Configuration::usual(&catalog),
    ///     tasks: vec![NamedTask::new(&catalog, fan.find(&catalog).expect("it has one"))],
    ///     leave_by_ms: None,
    ///     follows: None,
    /// };
    /// let mut session = Session::new();
    /// session.load(Vec::new(), |_| None, &Stamp::default());
    /// session.set_library(vec![catalog], Vec::new());
    ///
    /// // The job and its first plan are one batch.
    /// let outcome = session.handle(Command::Open(Box::new(opened)), Stamp::default())?;
    /// let transaction = outcome.transaction().expect("a new job");
    /// assert_eq!(transaction.batch().events.len(), 2);
    /// let id = transaction.batch().job.clone();
    /// assert!(session.find(id.as_str()).is_none(), "not stored yet");
    /// // ... the shell stores the batch here ...
    /// let job = session.commit(transaction).job;
    /// assert!(job.next().is_some());
    ///
    /// // A tap that comes twice records nothing the second time.
    /// let reason = PauseReason::Break;
    /// let pause = EventKind::Paused { reason, part: None, note: String::new() };
    /// let pause = Command::record(id.as_str(), vec![pause])?;
    /// let outcome = session.handle(pause.clone(), Stamp::default())?;
    /// session.commit(outcome.transaction().expect("it was running"));
    /// let again = session.handle(pause, Stamp::default())?;
    /// assert!(matches!(again, Outcome::Unchanged(Unchanged::AlreadyRecorded)));
    /// # Ok::<(), lidoff_app_core::session::CommandError>(())
    /// ```
    pub fn handle(&self, command: Command, at: Stamp) -> Result<Outcome, CommandError> {
        block_on(self.handle_async(command, at, &mut RunToEnd))
    }

    /// Like [`handle`](Self::handle), with a progress handler for the planner. The session
    /// is read before this returns and not borrowed afterwards: it can be shown, and even
    /// changed, while the planner works.
    ///
    /// # Errors
    /// Why the command is refused.
    pub fn handle_async<'h>(
        &self,
        command: Command,
        at: Stamp,
        handler: &'h mut dyn ProgressHandler,
    ) -> impl Future<Output = Result<Outcome, CommandError>> + use<'h> {
        let draft = if self.read_only {
            Err(CommandError::ReadOnly)
        } else {
            self.draft(command, at)
        };
        async move {
            match draft? {
                Ok(draft) => Ok(Outcome::Append(draft.finish(handler).await?)),
                Err(unchanged) => Ok(Outcome::Unchanged(unchanged)),
            }
        }
    }

    /// The plan that there would be if this were recorded on a job. Nothing is stored, so a
    /// read-only session answers too.
    ///
    /// # Errors
    /// Why there would be none.
    pub fn preview<'h>(
        &self,
        job: &str,
        entries: Vec<EventKind>,
        at: Stamp,
        handler: &'h mut dyn ProgressHandler,
    ) -> impl Future<Output = Result<PlanSnapshot, CommandError>> + use<'h> {
        let now = self.find(job).and_then(|one| one.job.plan.clone());
        let draft = Command::record(job, entries).and_then(|command| self.draft(command, at));
        async move {
            let plan = match draft? {
                Ok(draft) => {
                    let transaction = draft.finish(handler).await?;
                    if let Some(why) = transaction.unplanned {
                        return Err(why);
                    }
                    transaction.job.plan.clone()
                }
                Err(_unchanged) => now,
            };
            plan.ok_or(CommandError::Unplanned)
        }
    }

    /// The open tasks that must be left so that the others have a plan, if this were recorded
    /// on a job. Nothing is stored.
    ///
    /// # Errors
    /// Why there is no plan even without tasks.
    pub fn tasks_to_leave<'h>(
        &self,
        job: &str,
        entries: Vec<EventKind>,
        at: Stamp,
        handler: &'h mut dyn ProgressHandler,
    ) -> impl Future<Output = Result<Vec<NamedTask>, CommandError>> + use<'h> {
        let draft = Command::record(job, entries).and_then(|command| self.draft(command, at));
        async move {
            let Ok(Draft {
                job,
                due: Some(due),
                ..
            }) = draft?
            else {
                return Ok(Vec::new());
            };
            let catalog = due.catalog?;
            let left = what_now::tasks_to_leave(&job, &catalog, &at, handler).await;
            left.map_err(CommandError::NoPlan)
        }
    }

    /// The open jobs for which something is to be recorded without a tap, by a command
    /// without entries: a plan that fits (the app was killed before it was stored, or the
    /// catalog was not there), or the restart of the app during a wait for safety. A job
    /// whose gap is still to be asked about waits for the answer.
    pub fn due(&self) -> Vec<JobId> {
        let is_due = |one: &&LoadedJob| {
            let plan = self.plan_due(&one.job, IfRefused::Refuse);
            let is_planned = plan.is_some_and(|due| due.catalog.is_ok());
            (is_planned && one.job.opened.is_some() || notes_restart(&one.job).is_some())
                && !self.gaps.contains_key(one.log.job())
        };
        let jobs = self.jobs.iter().flatten().filter(is_due);
        jobs.map(|one| one.log.job().clone()).collect()
    }

    /// Applies a stored transaction to the session.
    pub fn commit(&mut self, transaction: Transaction) -> Committed {
        let Transaction {
            base,
            batch,
            log,
            job,
            ..
        } = transaction;
        let known = self.find(batch.job.as_str()).map(|one| &one.log);
        let is_as_it_was = match (&base, known) {
            (None, None) => true,
            (Some(base), Some(known)) => Arc::ptr_eq(base, known),
            _ => false,
        };
        for event in &batch.events {
            if let EventKind::Gap { from_ms, to_ms, .. } = event.kind
                && self.gaps.get(&batch.job) == Some(&OpenGap { from_ms, to_ms })
            {
                self.gaps.remove(&batch.job);
            }
        }
        if is_as_it_was {
            let log = Arc::new(log);
            self.put(LoadedJob {
                log,
                job: Arc::clone(&job),
            });
            return Committed {
                job,
                quarantined: Vec::new(),
            };
        }
        // The job was reloaded while this transaction was being stored.
        let at = batch.events.last().map(|event| event.at);
        let quarantined = self.merge(log, &at.unwrap_or_default());
        let job = self
            .find(batch.job.as_str())
            .map(|one| Arc::clone(&one.job));
        Committed {
            job: job.unwrap_or_default(),
            quarantined,
        }
    }

    /// Replaces the log of its job; a log without events removes it.
    pub fn replace(&mut self, log: Log, now: &Stamp) {
        if log.events().is_empty() {
            self.forget(log.job());
        } else {
            self.put(LoadedJob::take_up(log, None, now));
        }
    }

    /// Removes a job.
    pub fn forget(&mut self, job: &JobId) {
        self.gaps.remove(job);
        if let Some(jobs) = &mut self.jobs {
            jobs.retain(|known| known.log.job() != job);
        }
    }

    /// Takes in what a copy of a job has and the known log lacks. Returns the events of the
    /// copy that conflict with known ones, which stay.
    pub fn merge(&mut self, log: Log, now: &Stamp) -> Vec<QuarantinedRecord> {
        let known = self.find(log.job().as_str());
        let mut all = known.map_or_else(|| Log::new(log.job().clone()), |one| (*one.log).clone());
        let (_, quarantined) = all.take_in(log);
        self.replace(all, now);
        quarantined
    }

    fn put(&mut self, loaded: LoadedJob) {
        let jobs = self.jobs.get_or_insert_default();
        jobs.retain(|known| known.log.job() != loaded.log.job());
        jobs.push(loaded);
        self.sort();
    }

    /// Sorts the jobs, the latest first.
    fn sort(&mut self) {
        let latest = |one: &LoadedJob| one.log.head().map_or(0, |head| head.at.wall_ms);
        if let Some(jobs) = &mut self.jobs {
            insertion_sort(jobs, |one, next| latest(one) < latest(next));
        }
    }

    /// The command as events, before the plan that is due is made.
    fn draft(&self, command: Command, at: Stamp) -> Result<Result<Draft, Unchanged>, CommandError> {
        if self.jobs.is_none() {
            return Err(CommandError::NotLoaded);
        }
        match command {
            Command::Open(opened) => self.draft_opening(*opened, at).map(Ok),
            Command::Record { job, entries } => self.draft_entries(job, entries, at),
        }
    }

    fn draft_opening(&self, opened: Opened, at: Stamp) -> Result<Draft, CommandError> {
        let mut draft = Draft {
            base: None,
            log: Log::new(self.new_id(&at)),
            events: Vec::new(),
            job: Arc::default(),
            at,
            due: None,
        };
        draft.push(EventKind::Opened(opened))?;
        draft.refold();
        draft.due = self.plan_due(&draft.job, IfRefused::Refuse);
        Ok(draft)
    }

    /// An unused job id. Two jobs can be opened within one millisecond.
    fn new_id(&self, at: &Stamp) -> JobId {
        let mut at = *at;
        loop {
            let id = JobId::new(&at);
            if self.find(id.as_str()).is_none() {
                return id;
            }
            at.wall_ms = at.wall_ms.wrapping_add(1);
        }
    }

    fn draft_entries(
        &self,
        job: JobId,
        entries: Entries,
        at: Stamp,
    ) -> Result<Result<Draft, Unchanged>, CommandError> {
        let Some(known) = self.find(job.as_str()) else {
            return Err(CommandError::NoSuchJob(job));
        };
        let mut draft = Draft {
            base: Some(Arc::clone(&known.log)),
            log: (*known.log).clone(),
            events: Vec::new(),
            job: Arc::clone(&known.job),
            at,
            due: None,
        };
        if let Some(restart) = notes_restart(&known.job) {
            draft.push(EventKind::AppRestarted(restart))?;
            draft.refold();
        }
        let restarts = draft.events.len();
        let found = entries.without_decisions();
        let is_mixed = !found.is_empty() && found != entries;
        let mut unchanged = Unchanged::NothingAsked;
        let mut is_folded = true;
        for entry in entries.into_inner() {
            if !is_folded {
                draft.refold();
            }
            is_folded = match check(&draft.log, &draft.job, &entry, &at)? {
                Verdict::Record => {
                    draft.push(entry)?;
                    false
                }
                Verdict::Skip(why) => {
                    if unchanged == Unchanged::NothingAsked {
                        unchanged = why;
                    }
                    true
                }
            };
        }
        if !is_folded {
            draft.refold();
        }
        let is_decided = draft.events.iter().any(|event| event.kind.is_decision());
        let is_empty = draft.events.len() == restarts;
        let if_refused = if is_empty || is_decided && !is_mixed {
            IfRefused::Refuse
        } else if is_decided {
            match self.draft_entries(draft.log.job().clone(), found, at)? {
                Ok(found) => IfRefused::StoreFound(Box::new(found)),
                Err(_unchanged) => IfRefused::Refuse,
            }
        } else {
            IfRefused::Store
        };
        draft.due = self.plan_due(&draft.job, if_refused);
        if draft.events.is_empty() && draft.due.is_none() {
            return Ok(Err(unchanged));
        }
        Ok(Ok(draft))
    }

    /// The plan that the job needs now, if it needs one.
    fn plan_due(&self, job: &Job, if_refused: IfRefused) -> Option<PlanDue> {
        if matches!(job.status, Status::Closed { .. }) {
            return None;
        }
        let first = job.plan.is_none().then_some(Reason::First);
        let reason = first.or_else(|| job.replan_due.clone())?;
        let unit = job.opened.as_ref().map(|opened| opened.unit.id.clone());
        let unit = unit.unwrap_or_default();
        let catalog = self.library.find(&unit);
        Some(PlanDue {
            reason,
            catalog: catalog.ok_or(CommandError::NoCatalog { unit }),
            if_refused,
        })
    }
}

/// The restart of the app that is to be recorded before the next entry.
fn notes_restart(job: &Job) -> Option<Restart> {
    job.restart.filter(|_| job.may_wait_for_safety())
}
