//! A device with the app on it, and a technician who taps.

use std::cell::RefCell;
use std::sync::Arc;

use lidoff_app_core::planning::unit;
use lidoff_app_core::session::{Command, CommandError, Executed, Session, execute};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_job::{EventKind, Job, JobId, NamedTask, Opened, RunId, Stamp, TaskRef};
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_testkit::visit::{fitting, passing};

use super::memory::MemorySink;

pub const MINUTE: i64 = 60_000;

pub struct Device {
    pub session: RefCell<Session>,
    pub sink: MemorySink,
    pub now: Stamp,
    pub catalog: Catalog,
}

impl Device {
    /// A device that has run the app for five seconds and knows no job.
    pub fn new(catalog: Catalog) -> Self {
        let device = Self {
            session: RefCell::default(),
            sink: MemorySink::default(),
            now: Stamp {
                wall_ms: 1_793_692_200_000,
                offset_min: 60,
                mono_ms: 5_000,
                run: RunId(0xa11ce),
                hidden_ms: 0,
            },
            catalog,
        };
        device.load(None);
        device
    }

    fn load(&self, last_alive: Option<Stamp>) {
        let mut session = Session::new();
        session.load(self.sink.logs(), |_| last_alive, &self.now);
        session.set_library(vec![self.catalog.clone()], Vec::new());
        self.session.replace(session);
    }

    /// The app is killed, and started again later: everything comes from the
    /// records.
    pub fn restart_after(&mut self, ms: i64) {
        let last_alive = self.now;
        self.now.wall_ms += ms;
        self.now.mono_ms = 2_000;
        self.now.run = RunId(self.now.run.0 + 1);
        self.load(Some(last_alive));
    }

    /// What the app records by itself once it has started.
    pub fn record_what_is_due(&self) {
        let due = self.session.borrow().due();
        for id in due {
            self.record(&id, Vec::new()).expect("stored");
        }
    }

    pub fn pass(&mut self, ms: i64) {
        self.now.wall_ms += ms;
        self.now.mono_ms += ms;
    }

    /// One command, from the tap to what the screens see.
    pub fn run(&self, command: Command) -> Result<Executed, CommandError> {
        let execution = async {
            let mut handler = RunToEnd;
            execute(&self.session, &self.sink, command, self.now, &mut handler).await
        };
        block_on(execution)
    }

    pub fn record(&self, job: &JobId, entries: Vec<EventKind>) -> Result<Executed, CommandError> {
        self.run(Command::record(job.as_str(), entries)?)
    }

    pub fn open(&self, tasks: &[TaskRef]) -> JobId {
        match self.run(opening(&self.catalog, tasks)) {
            Ok(Executed::Stored { id, .. }) => id,
            other => panic!("the job opens: {other:?}"),
        }
    }

    pub fn job(&self, id: &JobId) -> Arc<Job> {
        let session = self.session.borrow();
        let found = session.find(id.as_str()).expect("the job is here");
        Arc::clone(&found.job)
    }

    /// What was stored of it, as a new run of the app reads it.
    pub fn stored(&self) -> Vec<(JobId, String, String)> {
        self.sink.records()
    }
}

pub fn opening(catalog: &Catalog, tasks: &[TaskRef]) -> Command {
    Command::Open(Box::new(Opened {
        unit: unit(catalog),
        reference: "TM-0001".to_owned(),
        site: "Thornmere, Wharf Street".to_owned(),
        technician: "R. Finch".to_owned(),
        setup: Configuration::usual(catalog),
        tasks: tasks.iter().map(|task| named(catalog, task)).collect(),
        leave_by_ms: None,
        follows: None,
    }))
}

pub fn named(catalog: &Catalog, task: &TaskRef) -> NamedTask {
    NamedTask::new(catalog, task.find(catalog).expect("the unit has it"))
}

/// What the step in hand still demands, met: the entries, and how long the
/// technician waits first.
pub fn meeting_demands(catalog: &Catalog, job: &Job, now: &Stamp) -> (i64, Vec<EventKind>) {
    let Some(step) = job.next() else {
        return (0, Vec::new());
    };
    let number = step.number;
    let demands = job.demands();
    let mut entries = Vec::new();
    for hazard in demands.heed {
        entries.push(EventKind::Heeded {
            hazard,
            step: number,
        });
    }
    if let Some(question) = demands.answer {
        let found = catalog.find_question(question.as_str()).expect("it asks");
        // As the plan assumes: another answer makes a new plan, in its own test.
        let plan = job.plan.as_ref().expect("there is a plan");
        let rests_on = plan.rests_on.iter().find(|one| one.question == question);
        let answer = rests_on.map_or_else(
            || catalog.question(found).answers[0].id.clone(),
            |one| one.answer.clone(),
        );
        entries.push(EventKind::Answered { question, answer });
    }
    if demands.read {
        let taken = passing(step.reading.as_ref().expect("it asks for a reading"));
        entries.push(EventKind::Read {
            step: number,
            taken,
        });
    }
    for id in demands.record {
        let record = step.records.iter().find(|record| record.id == id);
        entries.push(EventKind::Recorded {
            step: number,
            value: fitting(record.expect("it asks for it")),
            record: id,
        });
    }
    if demands.confirm {
        entries.push(EventKind::Confirmed { step: number });
    }
    let wait_ms = job.wait_before(now).map_or(0, |wait| wait.left_ms);
    (wait_ms, entries)
}
