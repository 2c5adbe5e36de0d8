//! Reconciles two stores of one log.
//!
//! A log is append-only, so the union by event id is the truth. If a record cannot be
//! read in one store, the other store's copy is used. Each store gets a list of its
//! missing and its bad records.

use std::collections::BTreeMap;

use super::store::Record;
use lidoff_job::log::{json, record_key};
use lidoff_job::{Event, JobId, Log, QuarantinedRecord};

/// One store's share of a job.
#[derive(Debug, Default)]
pub(super) struct Side {
    /// How many records it has, good or bad.
    pub held: usize,
    /// Records that it lacks or has differently.
    pub missing: Vec<Record>,
    /// Its bad records.
    pub bad: Vec<QuarantinedRecord>,
}

/// A job merged from both stores.
#[derive(Debug)]
pub(super) struct ReconciledJob {
    pub log: Log,
    pub store: Side,
    pub journal: Side,
}

impl ReconciledJob {
    /// Whether it has the event with this key.
    pub fn has(&self, key: &str) -> bool {
        let mut events = self.log.events().iter();
        events.any(|event| record_key(event.id) == key)
    }
}

/// Merges both stores, job by job. `unreadable_records` are records quarantined before; those that this
/// version can read, and that no other record replaces, are restored.
pub(super) fn reconcile(
    store: Vec<Record>,
    journal: Vec<Record>,
    unreadable_records: Vec<Record>,
) -> Vec<ReconciledJob> {
    let mut jobs: BTreeMap<JobId, [Vec<(String, String)>; 3]> = BTreeMap::new();
    for (nth, records) in [store, journal, unreadable_records].into_iter().enumerate() {
        for Record { job, key, text } in records {
            jobs.entry(job).or_default()[nth].push((key, text));
        }
    }
    jobs.into_iter()
        .map(|(job, [store, journal, unreadable_records])| {
            of_one(&job, store, journal, unreadable_records)
        })
        .collect()
}

type Rows = Vec<(String, String)>;

fn of_one(job: &JobId, store: Rows, journal: Rows, unreadable_records: Rows) -> ReconciledJob {
    let held = [store.len(), journal.len()];
    let (in_store, mut bad_in_store) = Log::from_records(job.clone(), store);
    let (in_journal, mut bad_in_journal) = Log::from_records(job.clone(), journal);
    let mut log = in_journal.clone();
    for clash in log.merge(in_store.clone()) {
        let bad = if has(&in_store, &clash) {
            &mut bad_in_store
        } else {
            &mut bad_in_journal
        };
        bad.push(clash);
    }
    let (readable, _still_unreadable) = Log::from_records(job.clone(), unreadable_records);
    for event in readable.events() {
        // A record that clashed before clashes again and stays in quarantine.
        let _taken_in = log.append(event.clone());
    }
    ReconciledJob {
        store: Side {
            held: held[0],
            missing: missing(&log, &in_store),
            bad: bad_in_store,
        },
        journal: Side {
            held: held[1],
            missing: missing(&log, &in_journal),
            bad: bad_in_journal,
        },
        log,
    }
}

fn has(log: &Log, clash: &QuarantinedRecord) -> bool {
    log.records()
        .any(|(key, text)| key == clash.key && text == clash.text)
}

fn missing(all: &Log, side: &Log) -> Vec<Record> {
    let lacks = |event: &&Event| side.get(event.id) != Some(*event);
    all.events()
        .iter()
        .filter(lacks)
        .map(|event| Record {
            job: all.job().clone(),
            key: record_key(event.id),
            text: json(event),
        })
        .collect()
}
