//! The log of one job: append-only, and safe to merge from two stores.
//!
//! Events are kept in the order of their ids. [`Log::merge`] is a union by id, so the
//! order and number of merges do not matter. A record that cannot be read is set aside
//! with its text and the reason, never dropped. So is an event whose sequence number is
//! far above the others: no number could follow it.

use std::fmt;

use lidoff_i18n::tr;

use super::event::{Event, EventId, EventKind};
use super::job_id::JobId;
use super::stamp::Stamp;
use lidoff_limits::SEQUENCE_GAP;

/// The events of one job, in the order of their ids.
#[derive(Clone, Debug, PartialEq)]
pub struct Log {
    job: JobId,
    events: Vec<Event>,
}

/// A record that could not be read, or that conflicts with another one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct QuarantinedRecord {
    /// Its key.
    pub key: String,
    /// Its text.
    pub text: String,
    /// What is wrong with it.
    pub why: String,
    /// How many records it stands for: 1, or the number of those that are not listed.
    pub count: usize,
}

/// Why an event was not appended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum AppendError {
    /// The log holds another event of that name.
    Taken(EventId),
}

impl fmt::Display for AppendError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Taken(id) => f.write_str(&tr!(
                "This job already has a different event {id}. Nothing was overwritten. \
                 Close and reopen the app, then enter it again.",
                id
            )),
        }
    }
}

impl std::error::Error for AppendError {}

impl Log {
    /// A log without events.
    pub const fn new(job: JobId) -> Self {
        Self {
            job,
            events: Vec::new(),
        }
    }

    /// The job.
    pub const fn job(&self) -> &JobId {
        &self.job
    }

    /// All events, in order.
    pub fn events(&self) -> &[Event] {
        &self.events
    }

    /// The log before this event; the whole log if there is no such event.
    pub fn before(&self, id: EventId) -> Self {
        let at = self.place(id).unwrap_or(self.events.len());
        Self {
            job: self.job.clone(),
            events: self.events[..at].to_vec(),
        }
    }

    /// The last event.
    pub fn head(&self) -> Option<&Event> {
        self.events.last()
    }

    /// The events of newer versions, which have no effect here.
    pub fn unknown(&self) -> impl Iterator<Item = &Event> {
        self.events.iter().filter(|event| event.is_unknown())
    }

    /// The event with this id.
    pub fn get(&self, id: EventId) -> Option<&Event> {
        self.place(id).ok().map(|at| &self.events[at])
    }

    fn place(&self, id: EventId) -> Result<usize, usize> {
        self.events.binary_search_by_key(&id, |event| event.id)
    }

    /// The event that [`append`](Self::append) would add now: store it first, then append
    /// it.
    pub fn draft(&self, at: Stamp, kind: EventKind) -> Event {
        let seq = self.head().map_or(0, |head| head.id.seq.saturating_add(1));
        Event {
            id: EventId { seq, run: at.run },
            at,
            kind,
        }
    }

    /// Takes an event in. One that is there already changes nothing.
    ///
    /// # Errors
    /// When the log holds a different event of the same name.
    pub fn append(&mut self, event: Event) -> Result<(), AppendError> {
        match self.place(event.id) {
            Ok(at) if self.events[at] == event => Ok(()),
            Ok(_) => Err(AppendError::Taken(event.id)),
            Err(at) => {
                self.events.insert(at, event);
                Ok(())
            }
        }
    }

    /// Merges all events of another store's log of the same job. If both hold different
    /// events with one id (a fault of a store), one that this version can read is kept, or
    /// else the one whose JSON sorts first, whichever log it was in. The other is returned.
    pub fn merge(&mut self, other: Self) -> Vec<QuarantinedRecord> {
        let mut quarantined = Vec::new();
        for event in other.events {
            match self.place(event.id) {
                Err(at) => self.events.insert(at, event),
                Ok(at) if self.events[at] == event => {}
                Ok(at) => {
                    let (here, there) = (json(&self.events[at]), json(&event));
                    let unknown = [self.events[at].is_unknown(), event.is_unknown()];
                    let is_kept = match unknown {
                        [false, true] => true,
                        [true, false] => false,
                        _ => here <= there,
                    };
                    let text = if is_kept {
                        there
                    } else {
                        self.events[at] = event;
                        here
                    };
                    quarantined.push(QuarantinedRecord {
                        key: record_key(self.events[at].id),
                        text,
                        why: tr!("Two different events have this ID. The other one was \
                                  kept."),
                        count: 1,
                    });
                }
            }
        }
        quarantined
    }

    /// Takes in what a copy of this job has and this log lacks. Where both hold different
    /// events with one id, this log keeps its own. Returns the events that were taken in,
    /// and those that were not.
    pub fn take_in(&mut self, copy: Self) -> (Vec<Event>, Vec<QuarantinedRecord>) {
        let (mut taken, mut refused) = (Vec::new(), Vec::new());
        for event in copy.events {
            match self.place(event.id) {
                Err(at) => {
                    taken.push(event.clone());
                    self.events.insert(at, event);
                }
                Ok(at) if self.events[at] == event => {}
                Ok(_) => refused.push(QuarantinedRecord {
                    key: record_key(event.id),
                    text: json(&event),
                    why: tr!("This device has a different event with this ID. Its own was kept."),
                    count: 1,
                }),
            }
        }
        (taken, refused)
    }

    /// Builds a log from a store's records: keys as [`record_key`] makes them, and each
    /// event as JSON. Unreadable records are returned separately.
    pub fn from_records<K, V>(
        job: JobId,
        records: impl IntoIterator<Item = (K, V)>,
    ) -> (Self, Vec<QuarantinedRecord>)
    where
        K: AsRef<str>,
        V: AsRef<str>,
    {
        let mut reading = Reading::default();
        for (key, text) in records {
            let (key, text) = (key.as_ref(), text.as_ref());
            let read = lidoff_catalog::json::read::<Event>(text).map_err(|error| error.to_string());
            let read = read.and_then(|event| {
                if record_key(event.id) == key {
                    return Ok(event);
                }
                Err(tr!(
                    "This record holds event {}, which does not match its \
                                    key.",
                    event.id
                ))
            });
            reading.add(key.to_owned(), text, read);
        }
        reading.finish(job)
    }

    /// Each event as a record for a store: key and JSON.
    pub fn records(&self) -> impl Iterator<Item = (String, String)> + '_ {
        self.events
            .iter()
            .map(|event| (record_key(event.id), json(event)))
    }
}

/// Records that are being read into a log.
#[derive(Default)]
pub(crate) struct Reading {
    /// The readable ones, with their keys, in the order in which they came.
    events: Vec<(Event, String)>,
    /// Their places in that list, in the order of the events.
    order: Vec<usize>,
    quarantined: Vec<QuarantinedRecord>,
}

impl Reading {
    /// Adds a record: the event in it, or why it cannot be read.
    pub(crate) fn add(&mut self, key: String, text: &str, read: Result<Event, String>) {
        match read {
            Ok(event) => {
                let is_before = |place: &usize| self.events[*place].0.id <= event.id;
                let at = self.order.partition_point(is_before);
                self.order.insert(at, self.events.len());
                self.events.push((event, key));
            }
            Err(why) => self.set_aside(key, text.to_owned(), why),
        }
    }

    fn set_aside(&mut self, key: String, text: String, why: String) {
        self.quarantined.push(QuarantinedRecord {
            key,
            text,
            why,
            count: 1,
        });
    }

    /// The log of this job, and what was set aside.
    pub(crate) fn finish(mut self, job: JobId) -> (Log, Vec<QuarantinedRecord>) {
        let mut log = Log::new(job);
        let mut most = SEQUENCE_GAP;
        for place in std::mem::take(&mut self.order) {
            let (event, key) = self.events[place].clone();
            let why = if event.id.seq > most {
                tr!(
                    "Its sequence number {seq} is too far above the number before it. No \
                     entry could follow it.",
                    seq = event.id.seq
                )
            } else {
                most = event.id.seq.saturating_add(SEQUENCE_GAP);
                match log.head() {
                    Some(head) if *head == event => continue,
                    Some(head) if head.id == event.id => AppendError::Taken(event.id).to_string(),
                    _ => {
                        log.events.push(event);
                        continue;
                    }
                }
            };
            self.set_aside(key, json(&event), why);
        }
        (log, self.quarantined)
    }
}

/// The key of an event's record within its job. Keys sort as ids do.
pub fn record_key(id: EventId) -> String {
    id.to_string()
}

/// An event as JSON.
pub fn json(event: &Event) -> String {
    // Events hold no map with keys that are not words, the one thing that JSON
    // cannot say; the reason would stand in the record if that ever changed.
    serde_json::to_string(event).unwrap_or_else(|error| error.to_string())
}
