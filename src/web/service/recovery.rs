//! Recovery at startup: merges what both places hold, and restores to each place what
//! it lost.
//!
//! A bad record is set aside before anything is written in its place; if it cannot be
//! moved, nothing is written there. A finished job is removed from local storage only
//! if the journal held all of it when it was read, so records written to the journal
//! just now do not count yet. Some starts later it is archived.
//!
//! A removal begins in the journal, where the job is noted as removed. What is left of it
//! elsewhere is removed here, at every start: a browser that is killed may bring the last
//! state of local storage back.

use std::collections::BTreeSet;

use super::journal::Journal;
use super::photos::photos;
use super::quarantine::{Note, Place, UnreadableRecord};
use super::reconcile::{ReconciledJob, Side, reconcile};
use super::store::{self, Record};
use super::tabs::Role;
use super::{clock, heartbeat};
use lidoff_catalog::format::Text;
use lidoff_job::{EventKind, JobId, Log, Outcome, Status, fold};

/// How long a job is noted as removed, ms: much longer than a browser takes to write local
/// storage to disk.
const NOTED_MS: i64 = 7 * 24 * 3_600_000;

/// Noted as removed in place of a job when everything was removed.
pub(super) const EVERYTHING: &str = "";

/// The data found when the app started.
#[derive(Debug, Default)]
pub struct Started {
    /// Every job, in the order of their ids, which is the order of opening.
    pub logs: Vec<Log>,
    /// Records that could not be read, now or before.
    pub unreadable: Vec<UnreadableRecord>,
    /// Finished jobs that can be archived.
    pub to_archive: Vec<JobId>,
    /// Problems, in sentences for the technician.
    pub troubles: Vec<Text>,
}

/// So many finished jobs, the latest, are not archived: the first screen lists them.
const NOT_ARCHIVED: usize = 10;

/// Whether the job is not closed. A log whose first event is lost counts as in progress.
pub(super) fn in_progress(log: &Log) -> bool {
    // Most jobs are closed, and say so at their end: they need not be folded.
    let head = log.head().map(|head| &head.kind);
    if matches!(head, Some(EventKind::Closed { .. })) {
        return false;
    }
    !matches!(fold(log).status, Status::Closed { .. })
}

/// Whether no later visit needs the job: it is complete, and was not left open by an earlier
/// one, which it ends.
fn stands_alone(log: &Log) -> bool {
    let job = fold(log);
    let is_complete = matches!(
        job.status,
        Status::Closed {
            outcome: Outcome::Complete,
            ..
        }
    );
    is_complete && job.opened.is_some_and(|opened| opened.follows.is_none())
}

/// Loads both places, and repairs them if this tab writes.
pub(super) async fn start(journal: &Journal, role: Role) -> Started {
    let mut start = Start {
        journal,
        writes: role == Role::Writer,
        at_ms: clock::now().wall_ms,
        read_store: true,
        read_journal: true,
        in_place: Vec::new(),
        troubles: Vec::new(),
    };
    let removed = start.finish_removals().await;
    let in_store = store::load_all().unwrap_or_else(|error| {
        start.read_store = false;
        start.trouble(&error);
        Vec::new()
    });
    let in_journal = journal.load_all().await.unwrap_or_else(|error| {
        start.read_journal = false;
        start.trouble(&error);
        Vec::new()
    });
    let is_kept = |record: &Record| !removed.contains(&record.job);
    let (mut in_store, mut in_journal) = (in_store, in_journal);
    in_store.retain(is_kept);
    in_journal.retain(is_kept);
    start.complete(&mut in_journal).await;
    let mut unreadable = start.unreadable_records().await;
    unreadable.retain(|one| !removed.contains(&one.job));
    let again = unreadable.iter().map(|unreadable| Record {
        job: unreadable.job.clone(),
        key: unreadable.key.clone(),
        text: unreadable.note.text.clone(),
    });
    let unions = reconcile(in_store, in_journal, again.collect());

    for it in &unions {
        start.repair_store(it);
    }
    start.repair_journal(&unions).await;

    let bad = |it: &ReconciledJob| !it.store.bad.is_empty() || !it.journal.bad.is_empty();
    if unions.iter().any(bad) {
        unreadable = start.unreadable_records().await;
        unreadable.retain(|one| !removed.contains(&one.job));
        unreadable.append(&mut start.in_place);
    }
    for unreadable in &mut unreadable {
        unreadable.restored = unions
            .iter()
            .filter(|it| *it.log.job() == unreadable.job)
            .any(|it| it.has(&unreadable.key));
    }
    let to_archive = start.to_archive(&unions, &unreadable);
    let logs = unions.into_iter().map(|it| it.log);
    Started {
        to_archive,
        logs: logs.filter(|log| !log.events().is_empty()).collect(),
        unreadable,
        troubles: start.troubles,
    }
}

struct Start<'a> {
    journal: &'a Journal,
    writes: bool,
    /// Wall clock, ms.
    at_ms: i64,
    /// Whether local storage could be read.
    read_store: bool,
    /// Whether the journal could be read.
    read_journal: bool,
    /// Bad records that could not be moved.
    in_place: Vec<UnreadableRecord>,
    troubles: Vec<Text>,
}

impl Start<'_> {
    /// Adds a problem, unless it is already listed.
    fn trouble(&mut self, why: &impl ToString) {
        let why = why.to_string();
        if !self.troubles.contains(&why) {
            self.troubles.push(why);
        }
    }

    /// The jobs that were removed; what is left of them is removed if this tab writes.
    async fn finish_removals(&mut self) -> Vec<JobId> {
        // An error is reported when the records are read.
        let noted = self.journal.removed().await.unwrap_or_default();
        let removed: Vec<JobId> = noted.iter().map(|(job, _)| job.clone()).collect();
        if !self.writes || removed.is_empty() {
            return removed;
        }
        let troubles = finish_removals(&removed).await;
        for trouble in &troubles {
            self.trouble(trouble);
        }
        let is_past = |(job, at_ms): &(JobId, i64)| {
            job.as_str() == EVERYTHING || self.at_ms.saturating_sub(*at_ms) > NOTED_MS
        };
        let past: Vec<JobId> = noted
            .into_iter()
            .filter(is_past)
            .map(|(job, _)| job)
            .collect();
        if troubles.is_empty()
            && !past.is_empty()
            && let Err(error) = self.journal.forget_removed(past).await
        {
            self.trouble(&error);
        }
        removed
    }

    /// Adds what is archived of jobs of which a part is not.
    async fn complete(&mut self, records: &mut Vec<Record>) {
        if !self.read_journal {
            return;
        }
        let archived = self.journal.archived().await.unwrap_or_else(|error| {
            self.trouble(&error);
            Vec::new()
        });
        for job in archived {
            if records.iter().any(|record| record.job == job)
                && let Err(error) = self.journal.add_archived(&job, records).await
            {
                self.trouble(&error);
            }
        }
    }

    /// The finished jobs that no later visit needs and that are in the journal only, whole
    /// and readable; without the latest.
    fn to_archive(&self, unions: &[ReconciledJob], unreadable: &[UnreadableRecord]) -> Vec<JobId> {
        if !self.writes || !self.read_store {
            return Vec::new();
        }
        let finished: Vec<_> = unions
            .iter()
            .filter(|it| it.store.held == 0 && self.journal_held_all(it) && stands_alone(&it.log))
            .filter_map(|it| Some((it.log.head()?.at.wall_ms, it.log.job())))
            .filter(|(_, job)| unreadable.iter().all(|one| one.job != **job))
            .collect();
        // Not sorted: that would add a sorting algorithm to the app.
        let is_old = |one: &&(i64, &JobId)| {
            let later = finished.iter().filter(|other| other > one);
            later.count() >= NOT_ARCHIVED
        };
        let old = finished.iter().filter(is_old);
        old.map(|(_, job)| (*job).clone()).collect()
    }

    async fn unreadable_records(&mut self) -> Vec<UnreadableRecord> {
        let mut all = Vec::new();
        let mut found = |place, job, key, note| {
            all.push(UnreadableRecord {
                place,
                job,
                key,
                note,
                restored: false,
            });
        };
        if self.read_store {
            match store::unreadable_records() {
                Ok(unreadable_records) => {
                    for (name, job, key, note) in unreadable_records {
                        found(Place::Store(name), job, key, note);
                    }
                }
                Err(error) => self.trouble(&error),
            }
        }
        if self.read_journal {
            match self.journal.unreadable_records().await {
                Ok(unreadable_records) => {
                    for (job, key, at_ms, note) in unreadable_records {
                        found(Place::Journal(at_ms), job, key, note);
                    }
                }
                Err(error) => self.trouble(&error),
            }
        }
        all
    }

    fn stays(&mut self, job: &JobId, key: String, note: Note) {
        self.in_place.push(UnreadableRecord {
            place: Place::InPlace,
            job: job.clone(),
            key,
            note,
            restored: false,
        });
    }

    fn repair_store(&mut self, it: &ReconciledJob) {
        let job = it.log.job();
        let mut stuck = BTreeSet::new();
        for (key, note) in self.notes(&it.store) {
            if self.writes {
                match store::quarantine(job, &key, &note) {
                    Ok(()) => continue,
                    Err(error) => self.trouble(&error),
                }
            }
            stuck.insert(key.clone());
            self.stays(job, key, note);
        }
        if !self.writes || !self.read_store {
            return;
        }
        if in_progress(&it.log) {
            for record in &it.store.missing {
                if !stuck.contains(&record.key)
                    && let Err(error) = store::put(job, &record.key, &record.text)
                {
                    self.trouble(&error);
                    return;
                }
            }
        } else if it.store.held > 0 && stuck.is_empty() && self.journal_held_all(it) {
            let forgotten = store::forget(job).and_then(|()| heartbeat::forget(job));
            if let Err(error) = forgotten {
                self.trouble(&error);
            }
        }
    }

    fn journal_held_all(&self, it: &ReconciledJob) -> bool {
        self.read_journal && it.journal.missing.is_empty() && it.journal.bad.is_empty()
    }

    async fn repair_journal(&mut self, unions: &[ReconciledJob]) {
        let mut bad = Vec::new();
        for it in unions {
            let job = it.log.job();
            bad.extend(
                self.notes(&it.journal)
                    .map(|(key, note)| (job.clone(), key, note)),
            );
        }
        let mut stuck = BTreeSet::new();
        if !bad.is_empty() {
            let moved = if self.writes {
                self.journal.quarantine(bad.clone()).await
            } else {
                Ok(())
            };
            if let Err(error) = &moved {
                self.trouble(error);
            }
            if !self.writes || moved.is_err() {
                for (job, key, note) in bad {
                    stuck.insert((job.clone(), key.clone()));
                    self.stays(&job, key, note);
                }
            }
        }
        if !self.writes || !self.read_journal {
            return;
        }
        let missing: Vec<Record> = unions
            .iter()
            .flat_map(|it| &it.journal.missing)
            .filter(|it| !stuck.contains(&(it.job.clone(), it.key.clone())))
            .cloned()
            .collect();
        if !missing.is_empty()
            && let Err(error) = self.journal.append_many(missing).await
        {
            self.trouble(&error);
        }
    }

    fn notes<'b>(&self, side: &'b Side) -> impl Iterator<Item = (String, Note)> + use<'b> {
        let at_ms = self.at_ms;
        side.bad.iter().map(move |bad| {
            let note = Note {
                text: bad.text.clone(),
                why: bad.why.clone(),
                at_ms,
            };
            (bad.key.clone(), note)
        })
    }
}

/// Removes what is left of removed jobs outside the journal. What cannot be removed is
/// reported, and removed at the next start.
pub(super) async fn finish_removals(removed: &[JobId]) -> Vec<Text> {
    let photos = photos();
    let mut ended: Vec<Result<(), Text>> = Vec::new();
    let everything = removed.iter().any(|job| job.as_str() == EVERYTHING);
    for job in removed {
        let store = store::forget_all(job).and_then(|()| heartbeat::forget(job));
        ended.push(store.map_err(|error| error.to_string()));
        if !everything {
            let photos = photos.forget(job).await;
            ended.push(photos.map_err(|error| error.to_string()));
        }
    }
    if everything {
        ended.push(store::clear().map_err(|error| error.to_string()));
        ended.push(photos.clear().await.map_err(|error| error.to_string()));
    }
    let mut troubles: Vec<Text> = Vec::new();
    for why in ended.into_iter().filter_map(Result::err) {
        if !troubles.contains(&why) {
            troubles.push(why);
        }
    }
    troubles
}
