//! Simulated visits: a technician, a clock and a unit.

use lidoff_catalog::format::{Reading, Record, RecordKind};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_job::{
    EventId, EventKind, Job, JobId, Log, NamedTask, OldPart, Opened, Reason, RecordedValue, RunId,
    Stamp, Taken, TaskRef, UnitRef, fold, replan, tally,
};
use lidoff_planner::plan;

pub const MINUTE: i64 = 60_000;

pub fn recorder() -> Catalog {
    read("recorder", include_str!("recorder.json"))
}

pub use crate::demo::{perch, sorrel};

fn read(name: &str, json: &str) -> Catalog {
    match lidoff_catalog::read(&format!("{name}.json"), json) {
        Ok(catalog) => catalog,
        Err(faults) => panic!("{name}: {faults:#?}"),
    }
}

/// One job on one unit, logged by one device.
pub struct Visit<'a> {
    pub catalog: &'a Catalog,
    pub log: Log,
    pub now: Stamp,
}

impl<'a> Visit<'a> {
    /// Opens a job and makes its first plan.
    pub fn begin(catalog: &'a Catalog, tasks: &[TaskRef]) -> Self {
        Self::begin_on(catalog, Configuration::usual(catalog), tasks)
    }

    /// The same for the job with this number, one day after the previous one.
    pub fn begin_as(catalog: &'a Catalog, nth: u32, tasks: &[TaskRef]) -> Self {
        Self::open(catalog, nth, Configuration::usual(catalog), tasks)
    }

    pub fn begin_on(catalog: &'a Catalog, setup: Configuration, tasks: &[TaskRef]) -> Self {
        Self::open(catalog, 1, setup, tasks)
    }

    fn open(catalog: &'a Catalog, nth: u32, setup: Configuration, tasks: &[TaskRef]) -> Self {
        let now = Stamp {
            wall_ms: 1_793_692_200_000 + i64::from(nth) * 24 * 60 * MINUTE,
            offset_min: 60,
            mono_ms: 5_000,
            run: RunId(0xa11ce),
            hidden_ms: 0,
        };
        let mut visit = Self {
            catalog,
            log: Log::new(JobId::new(&now)),
            now,
        };
        let name = |task: &TaskRef| NamedTask::new(catalog, task.find(catalog).unwrap());
        visit.note(EventKind::Opened(Opened {
            unit: UnitRef {
                id: catalog.unit().id.clone(),
                name: catalog.unit().name.clone(),
                revision: catalog.unit().revision.clone(),
            },
            reference: format!("TM-{nth:04}"),
            site: "Thornmere, Wharf Street".into(),
            technician: "R. Finch".into(),
            setup,
            tasks: tasks.iter().map(name).collect(),
            leave_by_ms: None,
            follows: None,
        }));
        visit.plan(Reason::First);
        visit
    }

    pub fn note(&mut self, what: EventKind) -> EventId {
        let event = self.log.draft(self.now, what);
        let id = event.id;
        self.log.append(event).unwrap();
        id
    }

    pub fn job(&self) -> Job {
        fold(&self.log)
    }

    pub fn plan(&mut self, because: Reason) {
        let plan = replan(&self.job(), self.catalog, &self.now, plan).unwrap();
        self.note(EventKind::Planned { plan, because });
    }

    pub fn pass_ms(&mut self, ms: i64) {
        self.now.wall_ms += ms;
        self.now.mono_ms += ms;
    }

    /// Works for this long and marks the current step done.
    pub fn do_in_ms(&mut self, ms: i64) -> EventId {
        self.pass_ms(ms);
        let step = self.job().next().unwrap().number;
        self.note(EventKind::Done { step })
    }

    /// Does one step in exactly its planned time.
    pub fn do_one(&mut self) -> EventId {
        let expected = self.job().next().unwrap().expected_s();
        self.do_in_ms((expected * 1000.0).round() as i64)
    }

    pub fn do_all(&mut self) {
        for step in self.job().remaining {
            self.pass_ms((step.expected_s() * 1000.0).round() as i64);
            self.note(EventKind::Done { step: step.number });
        }
        self.clear_old_parts();
    }

    /// Wipes, packs and takes away the old parts, as must be done.
    pub fn clear_old_parts(&mut self) {
        for OldPart { part, duty, .. } in tally(&self.job()).old_parts {
            self.note(EventKind::OldPartHandled { part, duty });
        }
    }

    /// Does steps until this one is the current step.
    pub fn do_up_to(&mut self, step: &str) {
        while self.job().next().unwrap().step.as_str() != step {
            self.do_one();
        }
    }

    pub fn add(&mut self, task: &TaskRef) {
        let task = NamedTask::new(self.catalog, task.find(self.catalog).unwrap());
        self.note(EventKind::TaskAdded(task));
        self.plan(Reason::TaskAdded);
    }

    pub fn read(&mut self, taken: Taken) {
        let step = self.job().next().unwrap().number;
        self.note(EventKind::Read { step, taken });
    }
}

pub fn replace(part: &str) -> TaskRef {
    TaskRef::Replace(part.into())
}

/// Every replacement that this unit offers with its usual options.
pub fn replacements(catalog: &Catalog) -> Vec<TaskRef> {
    let setup = lidoff_catalog::setup::Setup::new(catalog, &Configuration::usual(catalog)).unwrap();
    catalog
        .parts()
        .filter(|(_, part)| part.swap.is_some() && setup.holds(&part.when))
        .map(|(_, part)| TaskRef::Replace(part.id.clone()))
        .collect()
}

/// A value that fits this record; a photo must be taken for it.
pub fn fitting(record: &Record) -> RecordedValue {
    match (&record.kind, &record.pattern) {
        (RecordKind::Counter, _) => RecordedValue::Number(4711),
        (RecordKind::Choice(all), _) => RecordedValue::Text(all[0].clone()),
        (RecordKind::Photo, _) => RecordedValue::Photo("photo-1".to_owned()),
        (RecordKind::Serial | RecordKind::Text, Some(pattern)) => {
            RecordedValue::Text(pattern.example())
        }
        (RecordKind::Serial | RecordKind::Text, None) => RecordedValue::Text("A1".to_owned()),
    }
}

/// A reading that passes this check.
pub fn passing(asked: &Reading) -> Taken {
    match asked {
        Reading::Value { low, high, .. } => Taken::Value(low.or(*high).unwrap_or_default()),
        Reading::Seen(_) => Taken::Seen(true),
    }
}
